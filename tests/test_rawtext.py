"""Bytes to lines: encodings, compression, line ends, and what is no text."""

from __future__ import annotations

import gzip
import io
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from thermlog.reading.files.rawtext import LARGEST_BYTES, decode, is_workbook, read_bytes, split_lines, unpack
from thermlog.words.errors import LogRefusedError

TEXT = "time_s,position,temp (°C)\n0,FL,80\n"


@pytest.mark.parametrize(
    ("codec", "name"),
    [
        ("utf-8", "UTF-8"),
        ("utf-8-sig", "UTF-8 with byte order mark"),
        ("utf-16", "UTF-16"),
        ("utf-16-le", "UTF-16-LE"),
        ("utf-16-be", "UTF-16-BE"),
        ("utf-32", "UTF-32"),
        ("cp1252", "Windows-1252"),
    ],
)
def test_text_survives_every_encoding_of_the_ladder(codec: str, name: str) -> None:
    found = decode(TEXT.encode(codec), file="log.csv")
    assert found.text == TEXT
    assert found.encoding == name


def test_big_endian_with_mark_is_told_by_the_mark() -> None:
    assert decode(b"\xfe\xff" + TEXT.encode("utf-16-be"), file="log.csv").text == TEXT


def test_an_encoding_named_by_the_user_is_not_doubted() -> None:
    # cp850 writes the degree sign as 0xF8 (Unicode mapping table CP850.TXT), which Windows-1252 reads as ø
    content = TEXT.encode("cp850")
    assert "ø" in decode(content, file="log.csv").text
    assert decode(content, file="log.csv", encoding="cp850").text == TEXT


def test_assumed_encoding_is_said() -> None:
    assert "Windows-1252" in decode(TEXT.encode("cp1252"), file="log.csv").notes[0]
    assert decode(TEXT.encode(), file="log.csv").notes == ()


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b" \n\r\n",
        bytes(range(256)) * 4,
        b"%PDF-1.7 x",
        b"\x89PNG\r\n",
        b"\x00" * 50,
        b"\xd0\xcf\x11\xe0abc",
    ],
)
def test_what_is_no_text_is_refused_in_one_line(content: bytes) -> None:
    with pytest.raises(LogRefusedError, match=r"^log\.csv: .+;") as refusal:
        decode(content, file="log.csv")
    assert "\n" not in str(refusal.value)


def test_bytes_no_encoding_of_the_ladder_has_are_refused_with_their_line() -> None:
    with pytest.raises(LogRefusedError, match="--encoding") as refusal:
        decode(TEXT.encode() + b"10,FR,caf\x81\n", file="log.csv")
    assert refusal.value.line == 3
    assert refusal.value.value == "byte 0x81"


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("last", ["", "end"])
def test_line_ends_of_all_systems(end: str, last: str) -> None:
    assert split_lines(f"a{end}b{end}{last}") == ["a", "b"] + ([last] if last else [])


def test_mixed_line_ends_and_a_doubled_final_one() -> None:
    assert split_lines("a\r\nb\rc\n\n") == ["a", "b", "c", ""]


def test_only_line_ends_end_lines() -> None:
    assert split_lines("a\x0bb\u2028c\x85d") == ["a\x0bb\u2028c\x85d"]


def test_gzip_is_unpacked_and_its_damage_named() -> None:
    packed = gzip.compress(TEXT.encode())
    assert unpack(packed, file="log.csv.gz") == TEXT.encode()
    assert unpack(TEXT.encode(), file="log.csv") == TEXT.encode()
    with pytest.raises(LogRefusedError, match="damaged"):
        unpack(packed[:-4], file="log.csv.gz")


def test_a_bomb_is_refused_without_unpacking_it_all(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("thermlog.reading.files.rawtext.LARGEST_BYTES", 1000)
    with pytest.raises(LogRefusedError, match="larger than"):
        unpack(gzip.compress(bytes(5000)), file="bomb.gz")


def test_missing_file_folder_and_oversize_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(LogRefusedError, match="no such file"):
        read_bytes(str(tmp_path / "nothing.csv"))
    with pytest.raises(LogRefusedError, match="folder"):
        read_bytes(str(tmp_path))
    with pytest.raises(LogRefusedError, match="cannot be opened"):
        read_bytes("a\x00b.csv")
    big = tmp_path / "big.csv"
    big.write_bytes(bytes(30))
    monkeypatch.setattr("thermlog.reading.files.rawtext.LARGEST_BYTES", 20)
    with pytest.raises(LogRefusedError, match="larger than"):
        read_bytes(str(big))


def test_standard_input_is_read_to_its_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", SimpleNamespace(buffer=io.BytesIO(TEXT.encode())))
    assert read_bytes("-") == TEXT.encode()


def test_workbooks_are_told_by_their_first_bytes() -> None:
    assert is_workbook(b"PK\x03\x04rest")
    assert not is_workbook(TEXT.encode())
    assert LARGEST_BYTES > 30_000_000
