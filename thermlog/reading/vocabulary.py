"""Words of headings, header keys and times of a log, in all languages, each declared once.

What a wheel, a cell or a surface is called stands beside what reads it: `positions`, `cellwords.toml`, the table
of surfaces; turns of phrase ("since parked", "tenths") in `headings`.

Words are normalised as `headings.plain_words` leaves them: lower case, no accents, single spaces. Own
compilation of trade usage: common practice, no source; other languages than English: from memory, not checked.
"""

from __future__ import annotations

from typing import Literal, TypeAlias

from thermlog.words.columns import Role
from thermlog.words.regular import regular
from thermlog.words.tables import Drive

# What a user may have to say of a log: the side traffic keeps to or the driver sits on, the order of a date, and
# whether trailer axles are counted on.
VehicleSide: TypeAlias = Literal["left", "right"]
DateOrder: TypeAlias = Literal["dmy", "mdy"]
AxleCount: TypeAlias = Literal["combined", "per_unit"]
Key: TypeAlias = Literal[
    "ambient", "parked", "vehicle", "drive", "wheel", "spot", "unit", "emissivity", "distance", "axles", "brakes",
    "split", "parking_brake", "regenerative", "retarder", "lifted", "unbraked", "tyre_radius", "weight", "traffic",
    "driver_side", "language", "axle_count", "date_order", "decimal", "seen", "taken_back", "date", "started", "by", "gun", "odometer",
    "repair",
    "remark", "label",
]  # fmt: skip
# The most that the gun showed, a mean of shots, the same brake once more, another part of the wheel end.
FiguresOf: TypeAlias = Literal["most", "mean", "again", "part"]
TimeUnit: TypeAlias = Literal["ns", "us", "ms", "cs", "ds", "s", "min", "h", "d"]


def _word_set(words: str) -> frozenset[str]:
    return frozenset(words.split("|"))


# ---- air: one list for header lines, rows and columns ---------------------------------------------------

AIR = (
    "ambient|ambient air|ambient temp|ambient temperature|air|air temp|air temperature|outside|outside air|"
    "outside temp|outside temperature|outdoor|outdoor temp|outdoor temperature|shop air|shop temp|"
    "shop temperature|bay temperature|surroundings|oat|t amb|tamb|"
    "umgebung|umgebungsluft|umgebungstemperatur|umgebungstemp|luft|lufttemperatur|lufttemp|aussen|"
    "aussentemperatur|aussentemp|raumtemperatur|"
    "ambiante|ambiant|air ambiant|temperature ambiante|temp ambiante|temperature de l'air|"
    "temperature exterieure|exterieur|"
    "ambiente|temperatura ambiente|temp ambiente|temperatura del aire|temperatura exterior|exterior|aire|"
    "temperatura do ar|temperatura externa|"
    "aria|temperatura aria|temperatura dell'aria|temperatura esterna|esterno|esterna|"
    "omgeving|omgevingstemperatuur|lucht|luchttemperatuur|buiten|buitentemperatuur|"
    "omgivelse|omgivelsestemperatur|omgivning|omgivningstemperatur|utetemperatur|lufttemperatur ute|"
    "otoczenie|temperatura otoczenia|powietrze|temperatura powietrza|"
    "okoli|teplota okoli|vzduch|teplota vzduchu|"
    "ortam|ortam sicakligi|hava|hava sicakligi|dis sicaklik"
)

# ---- time -----------------------------------------------------------------------------------------------

UNIT_S: dict[TimeUnit, float] = {
    "ns": 1e-9, "us": 1e-6, "ms": 1e-3, "cs": 0.01, "ds": 0.1, "s": 1.0, "min": 60.0, "h": 3600.0, "d": 86400.0,
}  # fmt: skip
UNIT_NAMES: dict[TimeUnit, str] = {
    "ns": "nanoseconds", "us": "microseconds", "ms": "milliseconds", "cs": "hundredths of a second",
    "ds": "tenths of a second", "s": "seconds", "min": "minutes", "h": "hours", "d": "days",
}  # fmt: skip
_TIME_UNIT_WORDS: dict[TimeUnit, str] = {
    "ns": "ns|nsec|nanosecond|nanoseconds|nanosekunden|nanosecondes|nanosegundos|nanosecondi",
    "us": "us|µs|μs|usec|microsecond|microseconds|mikrosekunden|microsecondes|microsegundos|microsecondi",
    "ms": "ms|msec|msecs|millis|milli|millisecond|milliseconds|millisekunden|millisecondes|milisegundos|"
    "milissegundos|millisecondi|milliseconden|millisekunder|milisekundy",
    "cs": "cs|csec|centisecond|centiseconds|hundredths|hundredths of a second|1 100 s|hundertstel|hsec",
    "ds": "ds|dsec|decisecond|deciseconds|tenths|tenths of a second|tenth of a second|1 10 s|zehntel|"
    "zehntelsekunden|dixiemes|decimas",
    "s": "saniye|sn|s|sec|secs|second|seconds|sek|sekunde|sekunden|seconde|secondes|segundo|segundos|seg|segs|secondo|"
    "secondi|seconden|sekund|sekunder|sekundy|sekunda|vteriny",
    "min": "dakika|dk|min|mins|minute|minutes|minuten|minuto|minutos|minuti|minuut|minuter|minutter|minut|minuty|"
    "minuta|mn",
    "h": "h|hr|hrs|hour|hours|std|stunde|stunden|heures|horas|ore|uur|uren|timer|timmar|godziny|hodiny",
    "d": "d|day|days|tage|jours|dias|giorni|dagen|dager|dagar|dni|dny|serial|serial days|excel",
}
TIME_UNITS: dict[str, TimeUnit] = {
    word: unit for unit, words in _TIME_UNIT_WORDS.items() for word in words.split("|")
}
# Headings of columns of hours, minutes and seconds which make one time.
TIME_PARTS: dict[str, TimeUnit] = {
    **{word: unit for word, unit in TIME_UNITS.items() if unit in {"h", "min", "s"}},
    "hh": "h", "heure": "h", "hora": "h", "ora": "h", "mm": "min", "m": "min", "ss": "s",
}  # fmt: skip
# Behind a unit of time at the beginning of a heading: "sec since midnight".
SINCE = _word_set(
    "since|after|from|seit|ab|nach|depuis|apres|desde|tras|apos|dopo|da|sinds|na|siden|sedan|efter|od|po"
)
# Hours in Norwegian, a watch in English: the pace of the walk tells.
TWO_MEANINGS_OF_TIME = frozenset({"timer"})
STYLES: dict[str, TimeUnit] = {
    "hh mm": "h", "h mm": "h", "mm ss": "min", "m ss": "min", "hhmm": "h", "min sec": "min", "mm ss s": "min",
}  # fmt: skip
DIGIT_STYLES = frozenset({"hhmm", "hhmmss", "hmmss"})
CLOCK_WORDS = frozenset(
    (
        "clock|clock time|time of day|local time|wall clock|wall time|uhrzeit|uhr|heure|klokkeslett|klockslag|"
        "klockan|godzina|hora|orario|tijdstip|hodina|saat|" + "|".join(DIGIT_STYLES)
    ).split("|")
)
# What may stand in brackets or beside the words of a time heading without being a unit.
HARMLESS_IN_TIME = _word_set(
    "local|utc|gmt|z|cet|cest|bst|24h|24 h|12h|12 h|am pm|ampm|a m p m|hh mm ss|h mm ss|hh mm|h mm|"
    "mm ss|m ss|hh mm ss s|hh mm ss sss|hhmm|hhmmss|iso|iso 8601|unix|epoch|posix|since stop|"
    "since start|since parked|from start|of day|clock|elapsed|of|the|reading|readings|read|measured|"
    "measurement|at|taken|since|start|started|log|logged|stamp|date|and|der|des|de|la|le|el|messung|"
    "mesure|medida|misura|meting|log|total|gun|no|nr|stop|watch|stopwatch|running|sample|test|walk|"
    "round|cumulative|cum|gesamt|recorded|record|time|yyyy mm dd|dd mm yyyy|mm dd yyyy|"
    "after|from|midnight|mitternacht|minuit|medianoche|meia|noite|mezzanotte|middernacht|midnatt|polnoc|pulnoc|"
    "yyyy mm dd hh mm ss|dd mm yyyy hh mm ss|dd mm yyyy hh mm|yyyy mm dd hh mm"
)
COUNTDOWN_WORDS = _word_set(
    "remaining|countdown|count down|to go|time left|time remaining|restzeit|restant|restante|"
    "rimanente|resterende|kvar|pozostalo"
)
MONTHS: tuple[str, ...] = (
    "jan|janv|ene|gen|led|sty", "feb|fev|fevr|unor|lut", "mar|mrz|maer|mars|mrt|brez|marz", "apr|avr|abr|kwi|dub",
    "may|mai|mag|mei|maj|kvet", "jun|juin|giu|cze|cerven", "jul|juil|lug|lip|cervenec",
    "aug|aou|aout|ago|srp|sie", "sep|set|wrz|zari", "oct|okt|ott|out|paz|rij", "nov|lis|listopad", "dec|dez|dic|des|gru|pros",
)  # fmt: skip
WEEKDAYS = _word_set(
    "mon|tue|tues|wed|thu|thur|thurs|fri|sat|sun|monday|tuesday|wednesday|thursday|friday|saturday|"
    "sunday|mo|di|mi|do|fr|sa|so|montag|dienstag|mittwoch|donnerstag|freitag|samstag|sonntag|lundi|"
    "mardi|mercredi|jeudi|vendredi|samedi|dimanche|lun|mer|jeu|ven|sam|dim"
)

# ---- columns --------------------------------------------------------------------------------------------

# Headings of each column, parted by bars; what the columns are stands in words/columns.py.
HEADINGS: dict[Role, str] = {
    "time": "time|t|elapsed|elapsed time|total time|seconds|second|sec|secs|minutes|minute|hours|hour|hrs|days|"
    "serial|heures|horas|milliseconds|millis|clock|clock time|time of day|wall clock|timestamp|"
    "time stamp|datetime|date time|date and time|local time|epoch|unix|unix time|epoch time|stopwatch|"
    "stop watch|duration|time left|time remaining|remaining|countdown|zeit|uhrzeit|uhr|zeitpunkt|"
    "zeitstempel|sekunden|minuten|stunden|dauer|gesamtzeit|restzeit|temps|heure|horodatage|secondes|"
    "duree|temps total|hora|tiempo|segundos|minutos|duracion|tempo|ora|orario|secondi|minuti|durata|"
    "segundo|minuto|tijd|tijdstip|seconden|duur|tid|klokkeslett|klockslag|sekunder|minutter|minuter|"
    "czas|godzina|sekundy|minuty|cas|hodina|vteriny|measured at|taken at|read at|when|hh mm ss|h mm ss|"
    "zaman|sure|saat|saniye|dakika|mm ss|hh mm|h mm|m ss|hhmm|hhmmss|hmmss|min sec|timer|chrono|chronometer|chronometre|cronometro|stoppuhr",
    "half": "am pm|ampm|a m p m|am or pm|meridiem",
    "lap": "lap time|split|split time|interval|delta t|dt|since last|time since last|lap s|zwischenzeit|"
    "rundenzeit|temps intermediaire|tiempo parcial|parcial|tempo parziale|parziale|tussentijd",
    "date": "date|day|datum|tag|fecha|data|dato|jour|dia|giorno|dag|dzien|den",
    "position": "position|pos|wheel|wheel position|corner|location|place|wheel end|wheelend|where|point|rad|"
    "radposition|roue|rueda|ruota|roda|wiel|hjul|kolo|posicion|posizione|posicao|pozycja|pozice|"
    "positie|posisjon|stelle|emplacement|brake|brake position|bremse|frein|freno|freio|rem|"
    "bremse position|measuring point|messpunkt|messstelle|which wheel|which|teker|tekerlek|konum|fren",
    "axle": "axle|axle no|axle number|ax|achse|essieu|eje|asse|eixo|aksel|axel|naprava|axle nr|end|dingil|aks",
    "side": "side|seite|cote|lado|lato|kant|zijde|side of vehicle|hand|left right|l r|strona|strana|taraf",
    "vehicle_part": "part|vehicle part|tractor trailer|part of combination|vehicle unit|section",
    "temperature": "temperature|temp|reading|value|ir|indicated|celsius|fahrenheit|kelvin|degc|degf|temperatur|"
    "temperatura|messwert|wert|valeur|valor|valore|mesure|medida|misura|measured|result|heat|"
    "temperatuur|waarde|verdi|varde|wartosc|hodnota|teplota|temper|sicaklik|olcum|"
    "degrees|grad|grados|gradi|degres|graden|grader|stopnie",
    "unit": "unit|units|einheit|unite|unidad|unita|unidade|eenheid|enhet|jednostka|jednotka|birim|scale|temp unit|"
    "temperature unit",
    "vehicle": "vehicle|vehicle id|vehicle name|truck|car|van|bus|fleet no|fleet number|registration|plate|"
    "fahrzeug|kennzeichen|vehicule|vehiculo|veicolo|veiculo|voertuig|kjoretoy|fordon|pojazd|vozidlo",
    "drive": "drive|run|drive type|test drive|drive kind|fahrt|trajet|recorrido|prova|rit|test|phase",
    "spot": "spot|target|surface|component|aimed at|aim|part of brake|messfleck|bauteil|cible|objetivo|punto|"
    "onderdeel|komponent|czesc|dil|nokta|yer",
    "ambient": AIR,
    "emissivity": "emissivity|emiss|epsilon|emissionsgrad|emissivite|emisividad|emissivita",
    "distance": "distance|range|abstand|distancia|distanza|afstand|gun distance|dist|gun dist|measuring distance|"
    "messabstand|messentfernung|entfernung|avstand|odleglosc|vzdalenost",
    "round": "round|lap|pass|walk|runde|tour|vuelta|giro|ronde|series|no|nr|number|index|row|#|n|seq|entry",
    "note": "note|notes|comment|comments|remark|remarks|bemerkung|remarque|nota|notas|notiz|opmerking",
    "seen": "seen|observed|observation|observations|gesehen|beobachtung|vu|observe|visto|observado|gezien|sett|"
    "widziane|videno",
    "who": "by|technician|operator|user|battery|prufer|mechanic|read by|taken by|tecnico|monteur|mekaniker",
    "gun": "gun|device|instrument|thermometer|pyrometer|gerat|ir gun",
    "odometer": "odometer|odo|mileage|kilometerstand|km stand",
}
ROLES: dict[str, Role] = {word: role for role, words in HEADINGS.items() for word in words.split("|")}
# Of the words for a position those that may as well say where on a wheel end, where a wheel is named beside them.
PLACES = _word_set(
    "location|place|where|point|stelle|emplacement|measuring point|messpunkt|messstelle|konum|nokta|yer"
)
# Words beside "temperature" that say what was aimed at: of several columns those of the brake are read.
BRAKE_PARTS = _word_set(
    "brake|brakes|disc|disk|rotor|drum|caliper|calliper|bremse|bremsscheibe|scheibe|trommel|frein|"
    "disque|tambour|freno|disco|tambor|freio|tamburo|rem|schijf|brems|skive|broms|skiva|hamulec|"
    "tarcza|brzda|kotouc"
)
OTHER_PARTS = _word_set(
    "road|track|asphalt|ground|surface|tyre|tire|tread|hub|rim|wheel|bearing|oil|coolant|engine|pad|"
    "target|set|strasse|fahrbahn|boden|reifen|felge|nabe|route|sol|pneu|jante|moyeu|carretera|"
    "neumatico|suelo|strada|pneumatico|weg|band|vei|vag|dekk|dack|droga|opona|silnice|pneumatika"
)

# ---- header keys ----------------------------------------------------------------------------------------

KEY_WORDS: dict[Key, str] = {
    "ambient": AIR,
    "parked": "parked|parked at|parked time|stopped|stopped at|stop|standstill|abgestellt|halt|arret|arrete|"
    "parado|aparcado|fermo|fermato|gestopt|stilstand|stoppet|stannade|zatrzymano|zastaveno|"
    "stillstand|geparkt|steht seit|abgestellt um|stationne|estacionado|parcheggiato|geparkeerd|stilgezet|"
    "parkeret|parkert|parkerad|postoj|zaparkowano|postoj od|zaparkovano|odstaveno|durdu|park edildi",
    "vehicle": "vehicle|vehicle id|vehicle name|truck|car|van|bus|unit no|fleet no|fleet number|registration|plate|"
    "fahrzeug|kennzeichen|vehicule|vehiculo|veicolo|veiculo|voertuig|kjoretoy|fordon|pojazd|vozidlo",
    "drive": "drive|drive kind|drive type|test drive|fahrt|trajet",
    "wheel": "wheel|position|wheel position|corner|pos|rad|radposition|roue|rueda|ruota|roda|wiel|hjul|kolo",
    "spot": "spot",
    "unit": "unit|units|temperature unit|temp unit|einheit|unite|unidad|unita|unidade|eenheid|enhet",
    "emissivity": "emissivity|surface emissivity|emissionsgrad|emissivite",
    "distance": "distance|gun distance|measuring distance|abstand|messabstand|messentfernung",
    "axles": "axles|axle roles|achsen|essieux|ejes",
    "brakes": "brakes|brake|brake kind|brake type|bremsen|freins|frenos",
    "split": "split|circuit split|brake split|circuits|bremskreise",
    "parking_brake": "parking brake|handbrake|park brake|parking brake axle|feststellbremse",
    "regenerative": "regenerative|regeneration|recuperation|regen|rekuperation|hybrid|electric",
    "retarder": "retarder|retarder axle|retarder axles|engine brake|exhaust brake|endurance brake|dauerbremse|"
    "motorbremse|ralentisseur|ralentizador|rallentatore|retardador",
    "lifted": "lifted|lifted axle|lifted axles|lift axle up",
    "unbraked": "unbraked|unbraked axle|unbraked axles|axle without brakes|axles without brakes",
    "tyre_radius": "tyre radius|tire radius|rolling radius|tyre radius m|tire radius m",
    "weight": "weight|weight class|vehicle class",
    "traffic": "traffic|traffic side|drives on|keeps|country|land|pays|pais|paese",
    "driver_side": "driver side|drive side|driver|steering wheel|driver sits",
    "language": "language|sprache|langue|idioma|lingua",
    "axle_count": "axle count|count|axles counted",
    "date_order": "date order|dates",
    "decimal": "decimal|decimal mark",
    "seen": "seen|observed|gesehen|beobachtet|vu|observe|visto|observado|gezien|sett|widziane|videno",
    "taken_back": "taken back|undo|undone|struck out|zuruckgenommen|annule|anulado|annullato",
    "date": "date|day|datum|fecha|data|dato|jour|dia|giorno",
    "started": "start|started|start time|started at|begin|time|begun|beginn|debut|inicio|inizio|uhrzeit",
    "by": "technician|operator|by|taken by|read by|mechanic|tech|prufer|mechaniker|technicien|tecnico|monteur",
    "gun": "gun|ir gun|instrument|thermometer|pyrometer|device|gerat|messgerat",
    "odometer": "odometer|odo|mileage|kilometerstand|kilometrage|kilometraje|km stand|odometer km|mileage km",
    "repair": "repair|repaired|repairs|cause|cause found|mended|fixed|work done|reparatur|repariert|behoben|ursache|"
    "reparation|repare|cause trouvee|reparacion|reparado|causa|riparazione|riparato|reparo|reparatie|gerepareerd|oorzaak",
    "remark": "note|notes|comment|comments|remark|remarks|bemerkung|remarque|nota|notas|notiz|opmerking|"
    "driver says|complaint",
    "label": "log|title|place|workshop|weather|wind|source|made by|simulated|"
    "scenario|seed|version|road|speed|job|report|customer|bay",
}
KEYS: dict[str, Key] = {word: key for key, words in KEY_WORDS.items() for word in words.split("|")}
# Keys that may change between the rows: what follows belongs to the value stated last.
SECTION_KEYS: frozenset[Key] = frozenset({"vehicle", "drive", "wheel", "spot"})
# Keys that may be stated twice: the first value counts.
MAY_DIFFER: frozenset[Key] = frozenset(
    {"remark", "label", "date", "started", "by", "gun", "odometer", "repair"}
)
# Codes of ISO 3166-1 by the side that traffic keeps to (from memory, not checked), and other words for countries. Where
# hardly anybody drives, none is known.
LEFT_COUNTRIES = (
    "ag ai au bb bd bm bn bs bt bw cc ck cx cy dm fj fk gb gd gg gy hk id ie im in je jm jp ke ki kn ky lc lk ls mo ms mt "
    "mu mv mw my mz na nf np nr nu nz pg pk pn sb sc sg sh sr sz tc th tk tl to tt tv tz ug vc vg vi ws za zm zw uk"
)
RIGHT_COUNTRIES = (
    "ad ae af al am ao ar as at aw ax az ba be bf bg bh bi bj bl bo bq br by bz ca cd cf cg ch ci cl cm cn co cr cu cv cw "
    "cz de dj dk do dz ec ee eg eh er es et fi fm fo fr ga ge gf gh gi gl gm gn gp gq gr gt gu gw hn hr ht hu il iq ir is "
    "it jo kg kh km kp kr kw kz la lb li lr lt lu lv ly ma mc md me mf mg mh mk ml mm mn mp mq mr mx nc ne ng ni nl no om "
    "pa pe pf ph pl pm pr ps pt pw py qa re ro rs ru rw sa sd se si sj sk sl sm sn so ss st sv sx sy td tg tj tm tn tr tw "
    "ua us uy uz va ve vn vu wf ye yt usa"
)
LEFT_TRAFFIC = "great britain|united kingdom|england|scotland|wales|ireland|australia|new zealand|japan|india|south africa"
RIGHT_TRAFFIC = (
    "united states|canada|germany|deutschland|france|spain|portugal|italy|netherlands|belgium|austria|switzerland|norway|"
    "sweden|denmark|finland|poland|czechia|mexico|brazil"
)
COUNTRY_SIDES: dict[str, VehicleSide] = {
    **dict.fromkeys((*LEFT_COUNTRIES.split(), *LEFT_TRAFFIC.split("|")), "left"),
    **dict.fromkeys((*RIGHT_COUNTRIES.split(), *RIGHT_TRAFFIC.split("|")), "right"),
}
# What the values of some keys mean.
SIDE_WORDS: dict[str, VehicleSide] = {
    **dict.fromkeys(("left", "l", "lhd", "left hand", "left hand drive", "on the left"), "left"),
    **dict.fromkeys(("right", "r", "rhd", "right hand", "right hand drive", "on the right"), "right"),
}
# Where the driver sits ("rhd") says nothing of the side that traffic keeps to.
TRAFFIC_WORDS: dict[str, VehicleSide] = {
    **{word: side for word, side in SIDE_WORDS.items() if not word.endswith(("hd", "drive"))},
    **COUNTRY_SIDES,
}
ORDER_WORDS: dict[str, DateOrder] = {"dmy": "dmy", "day first": "dmy", "mdy": "mdy", "month first": "mdy"}
COUNT_WORDS: dict[str, AxleCount] = {
    **dict.fromkeys(("combined", "through", "counted through"), "combined"),
    **dict.fromkeys(("per unit", "per vehicle", "each unit"), "per_unit"),
}  # fmt: skip

# ---- kinds of drive

DRIVE_WORDS: dict[Drive, str] = {
    "normal": "normal|a|braking|normal braking|normal drive|before|warm up",
    "coast": "coast|b|coasting|coast drive|coast down|no braking|light braking|roll|drag",
    "verification": "verification|v|verify|after|after repair|proof|recheck",
}
DRIVES_BY_WORD: dict[str, Drive] = {
    word: drive for drive, words in DRIVE_WORDS.items() for word in words.split("|")
}
# A drive described as one without braking: "motorway, hardly braked".
UNBRAKED = regular(
    r"\b(?:no|not|without|hardly|barely|scarcely|never|little|minimal|ohne|kaum|sans|sin|senza|sem|zonder|uten|utan|"
    r"bez)(?: \w+)? (?:brak|brems|frein|fren|remm)\w*|\bbrakes? (?:hardly|barely|scarcely|never|not) (?:used|touched)\b|"
    r"\bbremsen? (?:kaum|nicht) (?:benutzt|benoetigt|gebraucht)\b"
)

# Expressions: words for a place where a vehicle is parked, and words before or behind a figure that is a rough one.
# Common practice, no source; words of languages other than English: from memory, not checked.
PARKING_PLACES = (
    "depot|yard|workshop|shop|garage|kerb|curb|ramp|bay|gate|base|layby|lay-by|car park|site|hof|werkstatt"
)
ROUGHLY = (
    r"(?:[~≈∼]|(?:circa|cca|ca|c(?=\.)|approximately|approx|about|around|roughly|abt|ungef(?:ä|ae)hr|etwa|gegen|vers|"
    r"environ|env|aproximadamente|aprox|unos|unas|cerca de|ongeveer|ong|cirka|omkring|około|asi)(?:\.|\b))"
)
