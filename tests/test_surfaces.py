"""Surfaces file: values with their sources, and statements of a surface."""

import re
from pathlib import Path

import pytest

import thermlog.correcting.surfaces
from thermlog.correcting.surfaces import load_surfaces, surface_choice, usual_surfaces
from thermlog.words.errors import PolicyError
from thermlog.words.vehicle import SPOTS

BUNDLED = Path(thermlog.correcting.surfaces.__file__).with_name("surfaces.toml").read_text(encoding="utf-8")

# Emissivities of cast iron and its oxides as printed in handbooks (total, see surfaces.toml).
CAST_IRON = {
    "polished_cast_iron": (0.21, 0.21, "Bramson"),
    "turned_cast_iron": (0.44, 0.44, "Holman"),
    "oxidised_cast_iron": (0.63, 0.66, "Wolfe"),
    "as_cast_skin": (0.81, 0.81, "Bramson"),
    "red_rust": (0.61, 0.85, "Bramson"),
    "heavy_rust": (0.69, 0.96, "Jones"),
}


@pytest.mark.parametrize("name", CAST_IRON)
def test_cast_iron_lies_in_its_printed_range_and_names_its_source(name):
    low, high, author = CAST_IRON[name]
    surface = usual_surfaces().surfaces[name]
    assert low - 1e-9 <= surface.emissivity <= high + 1e-9
    assert author in surface.source
    assert surface.band


def test_bright_iron_stays_below_oxide_and_paint():
    surfaces = usual_surfaces().surfaces
    bright = [surfaces[n].emissivity for n in ("polished_cast_iron", "emery_steel", "turned_cast_iron")]
    dull = [surfaces[n].emissivity for n in ("oxidised_cast_iron", "red_rust", "matt_black_paint")]
    assert max(bright) < min(dull)


def test_every_spot_has_a_skin_and_a_width():
    catalogue = usual_surfaces()
    assert set(catalogue.skins) == set(SPOTS)
    assert catalogue.width_m.shape == (len(SPOTS),)
    assert (catalogue.width_m > 0.0).all()


def test_every_number_has_a_source():
    assert len(re.findall(r"\bsource = \"[^\"]{5,}\"", BUNDLED)) == BUNDLED.count("source =")
    assert all(surface.source for surface in usual_surfaces().surfaces.values())


LABELS = (
    "read as quoted in a compilation",
    "value read in the compilation of emissivities",
    "from memory, not checked",
    "engineering judgement, common practice, no source",
)


@pytest.mark.parametrize("name", usual_surfaces().surfaces)
def test_every_emissivity_says_how_far_it_was_checked(name):
    """One label a row, and a spread that follows from a printed range or owns to be judgement."""
    surface = usual_surfaces().surfaces[name]
    assert sum(label in surface.source for label in LABELS) == 1
    printed = re.search(r"(0\.\d+) to (0\.\d+)", surface.source)
    if "by judgement" in surface.source:
        return
    low, high = sorted(map(float, printed.groups() if printed else re.findall(r"0\.\d+", surface.source)))
    assert surface.emissivity == pytest.approx((low + high) / 2.0, abs=1e-9)
    assert surface.spread == pytest.approx((high - low) / 2.0 / 3.0**0.5, abs=0.003)


@pytest.mark.parametrize(
    ("text", "corner", "spot", "emissivity"),
    [
        ("1L=red_rust", "1L", None, 0.73),
        ("hat = 0.8", None, "hat", 0.8),
        ("2R.drum=black_tape", "2R", "drum", 0.96),
        ("rotor_outer.12L=0.3", "12L", "rotor_outer", 0.3),
        ("all=1", None, None, 1.0),
    ],
)
def test_choice_is_understood(text, corner, spot, emissivity):
    choice = surface_choice(text, usual_surfaces())
    assert (choice.corner, choice.spot, choice.surface.emissivity) == (corner, spot, emissivity)
    assert choice.surface.spread > 0.0


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("1X=0.5", '"1X"'),
        ("0L=0.5", '"0L"'),
        ("L=0.5", '"L"'),
        ("wheel=0.5", '"wheel"'),
        ("=0.5", '""'),
        ("hat", '""'),
        ("hat=shiny", '"shiny"'),
        ("hat=0", '"0"'),
        ("hat=1.3", '"1.3"'),
        ("hat=nan", '"nan"'),
        ("hat=95 %", '"95 %"'),
    ],
)
def test_choice_that_says_nothing_is_refused_by_name(text, named):
    with pytest.raises(PolicyError) as refusal:
        surface_choice(text, usual_surfaces())
    assert f'"{text}"' in str(refusal.value)
    assert named in str(refusal.value)


@pytest.mark.parametrize(
    ("old", "new", "named"),
    [
        ('"thermlog-surfaces-1"', '"thermlog-surfaces-9"', "thermlog-surfaces-9"),
        ("emissivity = 0.21", "emissivity = 1.21", r"\[surface.polished_cast_iron\]: emissivity is 1.21"),
        ("emissivity = 0.21", 'emissivity = "bright"', "emissivity is 'bright'"),
        ("[skin.hat]", "[skin.cap]", '"hat" is missing'),
        ("[stated]", "[told]", '"stated" is missing'),
        ('source = "as the outer face"', 'source = " "', "no source"),
        ("[target]", "[target", "give the path of a surfaces file"),
    ],
)
def test_broken_files_are_refused_by_name(tmp_path, old, new, named):
    assert old in BUNDLED
    path = tmp_path / "own.toml"
    path.write_text(BUNDLED.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(PolicyError, match=named) as refusal:
        load_surfaces(str(path))
    assert str(path) in str(refusal.value)


def test_missing_file_is_refused_by_name(tmp_path):
    with pytest.raises(PolicyError, match=r"none\.toml"):
        load_surfaces(str(tmp_path / "none.toml"))
