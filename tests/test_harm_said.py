"""Remarks with one word of harm, in sentences no other rule knows, and harmless ones of the same things.

What a careful technician accepts was written before any log was run: beside each of the first nothing is
cleared, whether it stands above the table, in the row of a wheel, between rows or behind the vehicle's name;
the last leave an even car as it is. All sentences are invented. Common practice, no source; words of
languages other than English: from memory, not checked.
"""

from __future__ import annotations

import pytest
from answeredtext import CLEARED, HEAD, OPEN, TABLE, Answered, answered, with_column

from thermlog.reading.remarks.harmsaid import harm_said

ABOVE = [
    "couldn't get the gun onto the right rear, jack stand in the way",
    "left rear drum makes no heat whatever we do",
    "one of the rears wouldn't free off when we let the lever down",
    "we never left the yard, engine only idled", "shoe lining lying in the drum at the back",
    "rear right cylinder weeps", "pedal sank to the boards twice",
    "read off the hub caps because I could not see the discs",
    "readings of wheel 4 belong to a different car", "right rear brake hose pinched off with a clamp",
    "wheel bearing on the front left growls", "Could somebody look at RR, it turns stiff",
    "front left spins free even with the pedal pressed",
    "driver used the parking brake to slow down all the way", "towed the last stretch home",
    "the gun's lens was full of brake dust", "Hinten rechts hängt die Bremse, Rad geht schwer",
    "Auto kam auf dem Haken", "Werte hinten nur geraten", "le frein arrière droit reste collé",
    "camion arrivé sur plateau", "valeurs de l'arrière inventées", "étrier avant droit grippé",
    "le frein à main ne tient plus", "el freno trasero derecho se queda pegado", "llegó en grúa",
    "los valores de atrás son inventados", "pinza delantera derecha agarrotada",
    "el freno de mano no sujeta", "the inner pad has parted from its backing",
    "clevis dropped out, shoe flaps about", "offside rear feels as though something is clamping it",
    "had to use a bar to get the rear wheel moving",
    "brake stays applied for a good minute after letting go", "left front pad has disappeared",
    "I only managed three of the four wheels", "could only see half of the rear right disc",
    "these are the figures from the van parked next to it", "the display went blank after the fronts",
    "haze rising from the left rear", "a blue cloud behind the car when he parked",
    "the rim is painful to touch on the right", "hub has worked its way off the stub",
    "brake line rubbed through on the chassis", "pedal went to the carpet",
    "the shop pushed it in, starter broken", "it slid off the transporter an hour ago",
    "came back behind a breakdown truck", "home by low loader", "auf der Pritsche geholt",
    "somebody has tied up the calliper with wire", "locknut has come undone on FR",
    "back left brake goes on by itself", "squeezing noise, wheel slows on its own",
    "lever must be pulled to the roof before it holds", "Hinten links ist der Belag weg",
    "Rad vorne rechts lässt sich kaum drehen", "Die Werte stammen vom Nachbarfahrzeug",
    "Fahrzeug wurde nicht bewegt", "Bremse hinten rechts greift verzögert", "on n'a pas roulé du tout",
    "plus de garniture à l'arrière gauche", "les chiffres viennent d'une autre voiture",
    "no se ha movido el coche", "faltan las pastillas detrás", "las cifras son de otro coche",
]  # fmt: skip
AT_WHEEL = [
    "stuck fast", "guess", "piston seized solid", "no braking here", "could not hold my hand near it",
    "grinding metal on metal", "pad fell out", "copied from above", "number made up",
    "adjuster rusted solid", "cable snapped", "blocked off for now", "wheel off, no brake fitted",
    "raucht", "klemmt", "Kolben geht nicht zurück", "fume", "pas mesurée", "jeu dans le roulement",
    "tiene holgura", "won't budge", "needs a hammer", "rock solid, cannot turn",
    "spins for ages even with the brake on", "too far away to be sure", "misfire, trigger slipped",
    "something dripping", "wrong wheel?", "can wiggle it", "crackling sounds", "no reading possible",
    "the value is my guess", "nicht rangekommen", "wackelt stark", "pas accessible", "ça chauffe fort",
    "no llego", "quema mucho",
]  # fmt: skip
AMONG_ROWS = [
    "At this point the gun packed up", "RR came loose during the drive", "From here on another vehicle",
    "someone hosed the fronts here", "the rest invented", "Laser ging aus, Rest geschätzt",
    "pile morte, le reste au jugé", "se acabó la pila, el resto a ojo", "gave up here",
    "RR would not come free", "hier Pistole runtergefallen", "le laser s'est éteint ici",
    "aquí se apagó la pistola",
]  # fmt: skip
IN_NAME = [
    "van 7, not driven", "van 7, rears not measured", "van 7; washed just before",
    "van 7 (left and right mixed up)",
    "van 7, RR brake disabled", "van 7, arrived on a flatbed", "Transporter 7, nur geschoben",
    "furgoneta 7, remolcada", "van 7, on a rope", "van 7, not moved since Monday",
]  # fmt: skip
CALM_ABOVE = [
    "nice easy run, everything felt fine", "no pull either way", "no smoke, no smell",
    "gun checked against boiling water this morning", "drove to the quarry and back, six stops",
    "handbrake holds well on the ramp", "handbrake left off", "front discs changed in March",
    "bled last month, pedal firm", "wheel nuts checked and tight", "dry road, light wind",
    "overcast, no sun on the wheels", "measured by the apprentice, checked by me",
    "customer complained of noise, none heard", "no fault found", "ABS ok",
    "about twenty minutes of stop and go", "last stop was a normal one", "driver and one passenger",
    "alloy wheels 16 inch", "walked clockwise from front left",
    "second round four minutes after the first", "typed by the office from my sheet", "mileage 83 210",
    "fluid changed, no leaks anywhere", "calipers slide freely", "nothing loose",
    "brake test on rollers was even last week", "all good as far as I can tell",
    "no vibration in the wheel", "temps look normal to me", "weather mild",
    "fronts warmer than rears, as always", "washed last Friday", "wheels clean",
    "surface rust on the rear drums, light", "check no. 3 this week", "please file",
    "alle Räder drehen leicht", "Probefahrt 10 km durch die Stadt", "freins souples, pas d'odeur",
    "todo bien, sin ruidos", "prueba de 10 km por la ciudad", "rear brakes serviced at 80 000 km",
    "tyres swapped to winter set on Tuesday", "discs look like new", "front pads 8 mm, rear shoes 4 mm",
    "wheels torqued to 110 Nm after the tyre change", "handbrake adjusted by two clicks",
    "drum brakes rear, self-adjusting", "all hoses renewed in 2021", "brake fluid tested, 0.5 % water",
    "calipers cleaned and greased in autumn", "all wheels spun by hand before the drive",
    "no difference between the sides", "pedal feel normal, stops straight",
    "wheel bearings greased, no play", "nothing found at the rear axle", "driver happy with the brakes",
    "the owner asked for a second opinion on the brakes", "read every wheel at ten o'clock position",
    "gun calibrated in spring, certificate in the drawer", "readings taken by Anna and me",
    "first round started two minutes after parking", "both rounds in the same order, left then right",
    "rear left read last, a bit awkward because of the wall", "roller test: 2.4 kN left, 2.5 kN right",
    "braking efficiency 63 percent at the last inspection", "parking brake tested on the slope, held",
    "ABS lamp goes out after start", "pads from the same box on both sides",
    "discs measured 21.8 mm, limit 20", "van was empty, only the driver aboard",
    "left side was facing the sun while parked", "slight breeze from the right",
    "wheel trims taken off before reading", "all four brakes sound", "no fluid loss",
    "brakes bedded in after fitting", "rear tyres new, fronts half worn",
    "aimed at the middle of the disc face", "distance about 20 cm to each disc",
    "chalk mark on every drum where I aim", "black tape on the discs no longer needed",
    "same driver, same route, same load as in May", "brake check requested by the insurance",
    "quick look before the long trip to the mountains", "no vibration through the pedal",
    "car rolls easily when pushed", "each wheel turned a full turn by hand",
    "temperatures comparable with last month", "brakes quiet since the new pads",
    "we measured twice to be sure", "customer reported a squeal, could not reproduce it",
    "torque wrench used on all nuts", "vehicle on stands, wheels free",
    "Test drive with ten moderate stops", "good weather, no rain for days", "trailer not attached",
    "rear seats out, nothing loaded", "Bremsbeläge vorne noch 7 mm",
    "Räder nach dem Wechsel mit 110 Nm angezogen", "Handbremse hält am Berg", "plaquettes avant à 7 mm",
    "frein à main réglé", "pastillas delanteras a 7 mm", "el freno de mano sujeta bien",
    "brakes done by the previous owner, invoice seen", "rear discs are the larger version",
    "front pads from a different supplier than rear ones", "wheels painted black last summer",
    "both front tyres at 2.4 bar", "spare wheel used as a chock",
    "left front read twice because a cyclist went past", "hub nuts not touched",
    "parking brake cable lubricated", "new sensor on the left rear wheel",
    "discs slightly shiny after the descent", "brake dust on the alloys as usual",
    "drums warm to the hand, all about the same", "driver brakes early and lightly",
    "axle weights 1.1 t front, 0.9 t rear", "brake pedal travel about 4 cm", "linings 5 mm all round",
    "handbrake comes up five notches", "pulled the handbrake only after the last reading",
    "wheels chocked, handbrake released", "pistons pushed back by hand without effort",
    "guide pins slide well", "rubber boots intact", "brake hoses supple, no chafing",
    "wheel speed sensors fine", "gun borrowed from the other workshop, same type",
    "I walked the same way each time", "readings at about one minute intervals",
    "read at the same spot on each drum", "temperatures written down straight away",
    "numbers look plausible", "tyres have plenty of tread", "customer brought biscuits",
    "came straight from the motorway", "arrived at half past two", "brought in for its annual test",
    "rear axle has leaf springs", "steering axle new kingpins last year",
    "shock absorbers replaced at the front", "wheel alignment done in March",
    "brakes applied about thirty times", "never braked hard", "did one firm stop at the end",
    "wheels not wet", "no warning on the dashboard about the brakes",
    "no rubbing heard when turning the wheels", "nothing rubs", "stopping distance seems right",
    "car stops in a straight line", "disc brakes all round", "calipers painted red by the owner",
    "drum paint chipped a little", "rear left rim has a kerb scratch",
    "front right tyre has a small stone in it", "RL valve cap replaced",
    "round three skipped, two are enough", "second round started late, had a customer",
    "Bremsen vor zwei Wochen erneuert", "Alle vier Räder von Hand gedreht, laufen leicht",
    "freins avant refaits l'an dernier", "frenos delanteros cambiados el año pasado",
]  # fmt: skip
CALM_AT_WHEEL = [
    "ok", "good", "as expected", "no noise", "dry", "clean", "new pads", "drum ok", "at the disc face",
    "second try, same figure", "first wheel", "left side", "easy to reach", "new tyre", "no play",
    "not stuck", "held for two seconds", "alles gut", "rien à signaler", "correcto", "smooth",
    "nice and even", "looks fine", "8 mm left", "aimed low", "got a clear shot", "same as other side",
    "similar to left", "pads 6 mm", "fresh grease on the hub", "valve cap missing", "new disc since May",
    "slight rust on edge", "free to turn", "rotates well", "no noises", "all fine here", "quick read",
    "awkward angle", "kneeling", "in the shade", "sun on it", "little dust", "Tom read this one",
    "started here", "took two shots", "average of three", "max of three", "steel rim", "nothing to see",
    "tidy", "expected", "läuft leicht", "rien de spécial", "gira bien", "brand new", "worn evenly",
    "plenty left", "polished", "shiny", "turned by hand, free", "second shot", "read from the side",
    "from below", "lying on the ground to see it", "torch needed", "behind the spoke", "wide spokes, easy",
    "kerb side", "traffic side", "driver's side", "closest to the wall", "photo taken", "see photo",
    "note to self: buy batteries", "fits well", "pads replaced 2022", "perfect", "no change", "unchanged",
    "good contact pattern", "a little brake dust", "cleaned", "greased", "retorqued", "nut marks aligned",
    "steady at this value", "drops slowly", "cooling nicely", "warmest as always", "wie gehabt",
    "roue tourne bien", "como siempre",
]  # fmt: skip
CALM_AMONG_ROWS = [
    "start of round 2", "now the other side", "everything still fine", "end of the walk",
    "moved the torch", "round 2 four minutes later", "brakes still fine after the second round",
    "Pause for a phone call", "same order as before", "phone rang, two minutes lost",
    "third person took over the notes", "all the wheels look alike", "brakes cooling as they should",
]  # fmt: skip
CALM_IN_NAME = [
    "van 7, 2 axles", "van 7, drum brakes at the back", "van 7, serviced in spring",
    "van 7, roof rack fitted", "van 7, drums rear", "van 7, new tyres", "van 7, blue",
    "van 7, discs all round", "van 7, wheels 15 inch",
]  # fmt: skip
NOT_OF_IT = [
    "radio growls", "RR does not growl", "nothing growls at RR", "RR growled, bearing replaced",
    "hub cap torn off", "gun case torn", "bulb burnt out at the rear", "wheels not wet", "no wobble at RL",
    "Bremse hängt nicht", "grinding disc used on rust", "brake fine here, not at FL", "gun not on hold",
    "owner also has another vehicle", "goes out on a low loader tomorrow", "will be hosed down afterwards",
    "brake inspection finished", "job finished, wheels back on", "flatbed with crane",
    "flatbed lorry, steel rims", "transporter van", "towing bracket fitted", "towed trailer weight 2 t",
    "drove with trailer, towing 1.5 t",
    "low loader trailer", "recovery truck of the shop", "rope on the tow hook", "pushed the pedal gently",
    "winch at the front", "test with a flatbed trailer behind", "breakdown truck 4",
]  # fmt: skip


def above(said: str) -> Answered:
    return answered(f"{HEAD}# {said}\n{TABLE}")


def at_wheel(said: str) -> Answered:
    return answered(with_column("remark", {"RR": f'"{said}"'}))


def among_rows(said: str) -> Answered:
    head, *rows = TABLE.splitlines()
    return answered("\n".join([HEAD.strip(), head, *rows[:5], said, *rows[5:], ""]))


def in_name(said: str) -> Answered:
    return answered(f"{HEAD}# vehicle: {said}\n{TABLE}")


HARMFUL = [
    *((above, said) for said in ABOVE),
    *((at_wheel, said) for said in AT_WHEEL),
    *((among_rows, said) for said in AMONG_ROWS),
    *((in_name, said) for said in IN_NAME),
]
CALM = [
    *((above, said) for said in CALM_ABOVE),
    *((at_wheel, said) for said in CALM_AT_WHEEL),
    *((among_rows, said) for said in CALM_AMONG_ROWS),
    *((in_name, said) for said in CALM_IN_NAME),
]


@pytest.mark.parametrize(("place", "said"), HARMFUL)
def test_a_word_of_harm_leaves_nothing_cleared(place, said):
    found = place(said)
    assert found.flagged
    assert found.urgent or (found.drag, found.idle) != ("no", "no")


@pytest.mark.parametrize(("place", "said"), CALM)
def test_harmless_words_leave_an_even_car_as_it_is(place, said):
    assert place(said) == CLEARED


@pytest.mark.parametrize("said", NOT_OF_IT)
def test_what_is_denied_mended_or_of_another_thing_is_no_harm(said):
    assert not harm_said(said)


def test_a_denial_is_harmless_where_it_denies_what_is_bad():
    """The one word for what is bad makes the difference, as far as four words from the denial."""
    assert harm_said("RR pads not touching")
    assert not harm_said("RR pads not worn")
    assert harm_said("RR pads not touching and then seen again after all")
    assert not harm_said("RR pads not at all very worn")


def test_a_word_of_harm_needs_something_it_may_harm():
    """Beside a part it is the brake, beside a gun the reading; a drive that was none needs neither."""
    assert [harm_said(said) for said in ("it growls", "pedal growls", "it growls here")] == [
        False,
        True,
        False,
    ]
    assert harm_said("it growls", at_wheel=True)
    assert [harm_said(said) for said in ("story invented", "rest invented")] == [False, True]
    assert harm_said("towed the last stretch")


def test_a_complaint_of_no_wheel_is_answered_by_the_readings():
    assert above("complaint: brakes growl") == CLEARED
    assert above("complaint: RR growls") == OPEN
