"""Each kind of fault in a config, with the exact words that the club reads."""

from collections.abc import Callable

import pytest

from almanac.inputs.faults import MOST_FAULTS

Edited = Callable[..., str]
FaultsIn = Callable[[str], list[str]]

CLUB_KEYS = "no such key; known here: name, years, language, url, notes"
SITE_KEYS = (
    "no such key; known here: name, slug, latitude_deg, longitude_deg, elevation_m, timezone, "
    "horizon, temperature_c, pressure_hpa, seeing_arcsec, clear_sky, persistence"
)
STARS_WORDS = "the name or the HIP number of a star in the almanac's catalogue"
POINT = "two numbers: azimuth_deg from 0 to 360, altitude_deg from -5 to 90"
HORIZON = (
    "the name of a text file in the config's folder or below, "
    "or a list of points [azimuth_deg, altitude_deg]"
)
SLUG = "a folder name of 1 to 60 characters: a to z, 0 to 9 and single hyphens"
DATE = "a date without quotes such as 2027-01-08, from 1800-01-01 to 2052-12-31"
OTHER = ", other than assets, compare and names of devices"
CLOCK = 'a time from "00:00" to "23:59"'
HOURS = (
    'pairs of times such as [["21:00", "23:30"]], each ending after it starts, in order and '
    "without overlap; times before noon belong to the morning after; [] for no hours"
)
RULE = 'an RFC 5545 recurrence rule such as "FREQ=MONTHLY;BYDAY=2FR"'
RULE_PARTS = (
    ", of the parts FREQ, UNTIL, COUNT, INTERVAL, BYDAY, BYMONTHDAY, BYYEARDAY, BYWEEKNO, "
    "BYMONTH, BYSETPOS, WKST"
)
YEARS = "a list of whole years from 1900 to 2052, each once"
PARK = "two numbers: azimuth_deg from 0 to 360, altitude_deg from -90 to 90"
PASSBAND = "two numbers from 300 to 1100: the shortest wavelength, then the longest"
PIXELS = "two whole numbers from 16 to 20000: across in azimuth, up in altitude"
CLEAR = "12 numbers from 0 to 1, January to December"
URL = 'a web address that starts with "https://" or "http://"'
ZONE = 'an IANA time zone such as "Europe/Paris"'

PILE = "\u0323" * 5 + "\u20dd" * 4
CASES = [
    ('[club] name = ""', "club.name = '': a text of 1 to 120 characters"),
    ("[club] name = 3", "club.name = 3: a text of 1 to 120 characters"),
    ('[club] name = " "', "club.name = ' ': text with something to read in it"),
    (
        f'[club] name = "o{PILE}"',
        f"club.name = 'o{PILE}': text with at most 8 marks above or below a letter",
    ),
    (
        '[club] name = "a\\u202Eb"',
        "club.name = 'a\\u202eb': text without U+202E (right-to-left override)",
    ),
    (
        '[club] name = "two\\nlines"',
        "club.name = 'two\\nlines': text without U+000A (a control character)",
    ),
    (
        '[club] notes = "bell\\u0007"',
        "club.notes = 'bell\\x07': text without U+0007 (a control character)",
    ),
    (
        '[club] url = "https://a.example/?moon"',
        f"club.url = 'https://a.example/?moon': {URL}, of a folder: without ? and #",
    ),
    ("[club] years = []", f"club.years = []: {YEARS}"),
    ("[club] years = 2027", f"club.years = 2027: {YEARS}"),
    ("[club] years = [2027, 1899]", f"club.years[1] = 1899: {YEARS}"),
    ("[club] years = [2053]", f"club.years[0] = 2053: {YEARS}"),
    ("[club] years = [2027.0]", f"club.years[0] = 2027.0: {YEARS}"),
    ("[club] years = [true]", f"club.years[0] = true: {YEARS}"),
    ("[club] years = [2027, 2027]", "club.years = [2027, 2027]: each year once"),
    ('[club] language = "En"', "club.language = 'En': one of: de, en, es, fr; did you mean 'en'?"),
    ('[club] language = "tlh"', "club.language = 'tlh': one of: de, en, es, fr"),
    ('[club] url = "stars.example"', f"club.url = 'stars.example': {URL}"),
    ('[club] url = "javascript:alert(1)"', f"club.url = 'javascript:alert(1)': {URL}"),
    ('[club] url = "https://a:b@c.example"', f"club.url = 'https://a:b@c.example': {URL}"),
    ('[club] url = "https://[x"', f"club.url = 'https://[x': {URL}"),
    (
        '[club] langauge = "en"',
        f"club.langauge = 'en': {CLUB_KEYS}; did you mean 'language'?",
    ),
    ('[club] "a b" = 1', f"club.'a b' = 1: {CLUB_KEYS}"),
    ("[[site]] latitude_deg = 90.1", "site[0].latitude_deg = 90.1: a number from -90 to 90"),
    ('[[site]] latitude_deg = "44"', "site[0].latitude_deg = '44': a number from -90 to 90"),
    ("[[site]] latitude_deg = true", "site[0].latitude_deg = true: a number from -90 to 90"),
    ("[[site]] latitude_deg = nan", "site[0].latitude_deg = nan: a number from -90 to 90"),
    ("[[site]] longitude_deg = 181", "site[0].longitude_deg = 181: a number from -180 to 180"),
    ("[[site]] longitude_deg = -inf", "site[0].longitude_deg = -inf: a number from -180 to 180"),
    ("[[site]] elevation_m = 9001", "site[0].elevation_m = 9001: a number from -450 to 9000"),
    ("[[site]] temperature_c = 61", "site[0].temperature_c = 61: a number from -90 to 60"),
    ("[[site]] pressure_hpa = 29.9", "site[0].pressure_hpa = 29.9: a number from 300 to 1100"),
    ("[[site]] seeing_arcsec = 0", "site[0].seeing_arcsec = 0: a number from 0.2 to 20"),
    (
        '[[site]] timezone = "europe/pris"',
        f"site[0].timezone = 'europe/pris': {ZONE}; did you mean 'Europe/Paris'?",
    ),
    ('[[site]] timezone = "../../etc"', f"site[0].timezone = '../../etc': {ZONE}"),
    ('[[site]] timezone = "Factory"', f"site[0].timezone = 'Factory': {ZONE}"),
    ("[[site]] timezone = 1", f"site[0].timezone = 1: {ZONE}"),
    ("[[site]] clear_sky = [0.5]", f"site[0].clear_sky = [0.5]: {CLEAR}"),
    (
        "[[site]] clear_sky = [0, 0, 0, 1.1, 0, 0, 0, 0, 0, 0, 0, 0]",
        f"site[0].clear_sky[3] = 1.1: {CLEAR}",
    ),
    ('[[site]] slug = ".."', f"site[0].slug = '..': {SLUG}"),
    ('[[site]] slug = ""', f"site[0].slug = '': {SLUG}"),
    ('[[site]] slug = "A b/c"', f"site[0].slug = 'A b/c': {SLUG}; did you mean 'a-b-c'?"),
    ('[[site]] slug = "a--b"', f"site[0].slug = 'a--b': {SLUG}; did you mean 'a-b'?"),
    ('[[site]] slug = "assets"', f"site[0].slug = 'assets': {SLUG}{OTHER}"),
    ('[[site]] name = "Compare"', f"site[0].slug = missing: {SLUG}{OTHER}"),
    ('[[site]] name = "Con"', f"site[0].slug = missing: {SLUG}{OTHER}"),
    ('[[site]] slug = "lpt9"', f"site[0].slug = 'lpt9': {SLUG}{OTHER}"),
    ('[[site]] slug = "nul.txt"', f"site[0].slug = 'nul.txt': {SLUG}; did you mean 'nul-txt'?"),
    (
        '[[site]] name = "Обсерватория"',
        f"site[0].slug = missing: {SLUG} (none can be made from the site's name)",
    ),
    ("[[site]] horizon = 4", f"site[0].horizon = 4: {HORIZON}"),
    ('[[site]] horizon = "a\\u0000b"', f"site[0].horizon = 'a\\x00b': {HORIZON}"),
    ("[[site]] horizon = []", "site[0].horizon = 0 points: from 1 to 10000 points"),
    ("[[site]] horizon = [[0, 1], [2]]", f"site[0].horizon[1] = [2]: {POINT}"),
    ("[[site]] horizon = [[0, 1], 5]", f"site[0].horizon[1] = 5: {POINT}"),
    ("[[site]] horizon = [[361, 1]]", f"site[0].horizon[0] = [361, 1]: {POINT}"),
    ("[[site]] horizon = [[0, 91]]", f"site[0].horizon[0] = [0, 91]: {POINT}"),
    ("[[site]] horizon = [[0, nan]]", f"site[0].horizon[0] = [0, nan]: {POINT}"),
    ("[[site]] horizon = [[0, true]]", f"site[0].horizon[0] = [0, true]: {POINT}"),
    ('[[site]] horizon = [[0, "1"]]', f"site[0].horizon[0] = [0, '1']: {POINT}"),
    (
        "[[site]] lattitude_deg = 44",
        f"site[0].lattitude_deg = 44: {SITE_KEYS}; did you mean 'latitude_deg'?",
    ),
    ("[telescope] aperture_mm = 0", "telescope.aperture_mm = 0: a number from 10 to 2000"),
    (
        "[telescope] focal_length_mm = -300",
        "telescope.focal_length_mm = -300: a number from 20 to 20000",
    ),
    (
        f"[telescope] focal_length_mm = 0x{'f' * 5000}",
        "telescope.focal_length_mm = a whole number of 20000 bits: a number from 20 to 20000",
    ),
    ("[telescope] pixel_um = 0.4", "telescope.pixel_um = 0.4: a number from 0.5 to 50"),
    ("[telescope] sensor_px = [1080]", f"telescope.sensor_px[1] = missing: {PIXELS}"),
    ("[telescope] sensor_px = [1080, 15]", f"telescope.sensor_px[1] = 15: {PIXELS}"),
    ("[telescope] sensor_px = [1080.0, 1920]", f"telescope.sensor_px[0] = 1080.0: {PIXELS}"),
    ('[telescope] sensor_px = "1080x1920"', f"telescope.sensor_px = '1080x1920': {PIXELS}"),
    (
        '[telescope] mount = "altax"',
        "telescope.mount = 'altax': one of: altaz, equatorial; did you mean 'altaz'?",
    ),
    (
        "[telescope] highest_altitude_deg = 91",
        "telescope.highest_altitude_deg = 91: a number from 10 to 90",
    ),
    ("[telescope] park = [0, 0, 0]", f"telescope.park = [0, 0, 0]: {PARK}"),
    ("[telescope] park = [0, 91]", f"telescope.park[1] = 91: {PARK}"),
    ("[telescope] level_error_deg = 0", "telescope.level_error_deg = 0: a number from 0.01 to 10"),
    ("[telescope] passband_nm = [450, 1101]", f"telescope.passband_nm[1] = 1101: {PASSBAND}"),
    (
        "[telescope] passband_nm = [650, 450]",
        "telescope.passband_nm = [650, 450]: the shortest wavelength first, then a longer one",
    ),
    (
        "[moon] lowest_altitude_deg = -1",
        "moon.lowest_altitude_deg = -1: a number from 0 to 89",
    ),
    (
        "[moon] lowest_altitude_deg = 86",
        "moon.lowest_altitude_deg = 86: less than telescope.highest_altitude_deg (85)",
    ),
    ("[moon] thinnest_fraction = 3", "moon.thinnest_fraction = 3: a number from 0 to 1"),
    ("[moon] shortest_window_min = 0", "moon.shortest_window_min = 0: a number from 1 to 720"),
    ('[moon] daylight = "no"', "moon.daylight = 'no': true or false"),
    ("[moon] daylight = 0", "moon.daylight = 0: true or false"),
    ('[moon] hours = "20:00"', "moon.hours = '20:00': a table of weekdays"),
    ("[moon.hours] monday = 20", f"moon.hours.monday = 20: {HOURS}"),
    ('[moon.hours] monday = ["20:00"]', f"moon.hours.monday = ['20:00']: {HOURS}"),
    (
        '[moon.hours] monday = ["20:00", "24:00"]',
        f"moon.hours.monday = ['20:00', '24:00']: {CLOCK}",
    ),
    (
        '[moon.hours] monday = ["23:00", "20:00"]',
        f"moon.hours.monday = ['23:00', '20:00']: {HOURS}",
    ),
    (
        '[moon.hours] monday = ["11:00", "13:00"]',
        f"moon.hours.monday = ['11:00', '13:00']: {HOURS}",
    ),
    (
        '[moon.hours] monday = [["20:00", "22:00"], ["21:00", "23:00"]]',
        f"moon.hours.monday = [['20:00', '22:00'], ['21:00', '23:00']]: {HOURS}",
    ),
    (
        "[moon.hours] wedneday = []",
        "moon.hours.wedneday = []: no such key; known here: monday, tuesday, wednesday, "
        "thursday, friday, saturday, sunday, every; did you mean 'wednesday'?",
    ),
    ("[stars] faintest_magnitude = 7", "stars.faintest_magnitude = 7: a number from -1 to 6"),
    (
        "[stars] highest_altitude_deg = 15",
        "stars.highest_altitude_deg = 15: more than stars.lowest_altitude_deg (15)",
    ),
    (
        "[stars] lowest_altitude_deg = 85",
        "stars.lowest_altitude_deg = 85: less than telescope.highest_altitude_deg (85)",
    ),
    ("[stars] solve_below_sun_deg = 1", "stars.solve_below_sun_deg = 1: a number from -18 to 0"),
    ("[stars] lead_min = -1", "stars.lead_min = -1: a number from 0 to 180"),
    (
        "[stars] least_moon_separation_deg = 91",
        "stars.least_moon_separation_deg = 91: a number from 0 to 90",
    ),
    (
        '[stars] known = ["Vega", "Betelguese"]',
        f"stars.known[1] = 'Betelguese': {STARS_WORDS}; did you mean 'Betelgeuse'?",
    ),
    ("[stars] known = [1]", f"stars.known[0] = 1: {STARS_WORDS}"),
    ("[stars] known = [true]", f"stars.known[0] = true: {STARS_WORDS}"),
    ("[stars] known = [91262.0]", f"stars.known[0] = 91262.0: {STARS_WORDS}"),
    ('[stars] known = "Vega"', f"stars.known = 'Vega': {STARS_WORDS}"),
    ("[safety] sun_stop_deg = 0", "safety.sun_stop_deg = 0: a number from 5 to 90"),
    (
        "[safety] sun_stop_deg = 31",
        "safety.sun_stop_deg = 31: at most safety.sun_caution_deg (30)",
    ),
    ("[safety] sun_caution_deg = 9", "safety.sun_caution_deg = 9: a number from 10 to 180"),
    (
        "[safety] cap_before_sunrise_min = 0",
        "safety.cap_before_sunrise_min = 0: a number from 5 to 240",
    ),
    (
        "[saftey] sun_stop_deg = 15",
        "saftey = {'sun_stop_deg': 15}: no such key; known here: club, site, telescope, moon, "
        "stars, safety, meeting, outing; did you mean 'safety'?",
    ),
]


@pytest.mark.parametrize(("line", "expected"), CASES, ids=[line[:60] for line, _ in CASES])
def test_one_wrong_line_is_one_fault(
    line: str, expected: str, edited: Edited, faults_in: FaultsIn
) -> None:
    """A fault names file, key, value, what would be right, and a near match; nothing else is."""
    assert faults_in(edited(line)) == [f"club.toml: {expected}"]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("rule = 3", f"rule = 3: {RULE}"),
        ('rule = "every Friday"', f"rule = 'every Friday': {RULE}{RULE_PARTS}"),
        ('rule = "BYDAY=2FR"', f"rule = 'BYDAY=2FR': {RULE}; FREQ is missing"),
        (
            'rule = "FREQ=MONTLY"',
            f"rule = 'FREQ=MONTLY': {RULE}; FREQ cannot be 'MONTLY'; did you mean 'MONTHLY'?",
        ),
        ('rule = "FREQ=SECONDLY"', f"rule = 'FREQ=SECONDLY': {RULE}; FREQ cannot be 'SECONDLY'"),
        (
            'rule = "FREQ=MONTHLY;BYDAYS=2FR"',
            f"rule = 'FREQ=MONTHLY;BYDAYS=2FR': {RULE}{RULE_PARTS}; did you mean 'BYDAY'?",
        ),
        (
            'rule = "FREQ=MONTHLY;BYDAY=2FRI"',
            f"rule = 'FREQ=MONTHLY;BYDAY=2FRI': {RULE}; BYDAY cannot be '2FRI'",
        ),
        (
            'rule = "FREQ=WEEKLY;INTERVAL=0"',
            f"rule = 'FREQ=WEEKLY;INTERVAL=0': {RULE}; INTERVAL cannot be '0'",
        ),
        (
            'rule = "FREQ=WEEKLY;FREQ=DAILY"',
            f"rule = 'FREQ=WEEKLY;FREQ=DAILY': {RULE}; each part once",
        ),
        (
            'rule = "FREQ=DAILY;COUNT=2;UNTIL=20270101"',
            f"rule = 'FREQ=DAILY;COUNT=2;UNTIL=20270101': {RULE}; COUNT or UNTIL, not both",
        ),
        *(
            (f'rule = "{rule}"', f"rule = '{rule}': {RULE}; {why}")
            for rule, why in [
                ("FREQ=DAILY;UNTIL=20271301", "UNTIL cannot be '20271301'"),
                ("FREQ=YEARLY;BYMONTH=13", "BYMONTH cannot be '13'"),
                ("FREQ=YEARLY;BYMONTH=-1", "BYMONTH cannot be '-1'"),
                ("FREQ=MONTHLY;BYMONTHDAY=32", "BYMONTHDAY cannot be '32'"),
                ("FREQ=YEARLY;BYYEARDAY=367", "BYYEARDAY cannot be '367'"),
                ("FREQ=YEARLY;BYWEEKNO=54", "BYWEEKNO cannot be '54'"),
                ("FREQ=MONTHLY;BYDAY=2FR,MO", "BYDAY cannot be '2FR,MO'"),
                ("FREQ=DAILY;BYSETPOS=1", "BYSETPOS only with another BY part"),
                (
                    "FREQ=WEEKLY;BYMONTHDAY=3",
                    "BYMONTHDAY only with FREQ=DAILY or MONTHLY or YEARLY",
                ),
                ("FREQ=MONTHLY;BYWEEKNO=3", "BYWEEKNO only with FREQ=YEARLY"),
                (
                    "FREQ=WEEKLY;BYDAY=2FR",
                    "a number before a weekday only with FREQ=MONTHLY, or YEARLY without BYWEEKNO",
                ),
            ]
        ),
        (
            'first = "2027-01-08"',
            f"first = '2027-01-08': {DATE}",
        ),
        ("first = 0001-01-01", f"first = 0001-01-01: {DATE}"),
        ("first = 2053-01-01", f"first = 2053-01-01: {DATE}"),
        ("first = 2027-01-08T00:00:00Z", f"first = 2027-01-08T00:00:00+00:00: {DATE}"),
        (
            'needs = "mon"',
            "needs = 'mon': one of: moon, dark, either; did you mean 'moon'?",
        ),
        (
            'site = "quary-field"',
            "site = 'quary-field': the slug of one of the sites; left out, the sky of every site "
            "is told; did you mean 'quarry-field'?",
        ),
        ('start = "9:30"', f"start = '9:30': {CLOCK}"),
        ("start = 2027-01-01", f"start = 2027-01-01: {CLOCK}"),
        ("duration = 4", "duration = 4: a number from 5 to 1440"),
        ("outdoors = 1", "outdoors = 1: true or false"),
    ],
)
def test_one_wrong_line_in_a_meeting(
    line: str, expected: str, edited: Edited, faults_in: FaultsIn
) -> None:
    """A meeting's fault names its index."""
    lines = {"title": 'title = "x"', "rule": 'rule = "FREQ=DAILY"', "start": 'start = "19:00"'}
    lines[line.partition(" ")[0]] = line
    text = edited() + "[[meeting]]\n" + "\n".join(lines.values())
    assert faults_in(text) == [f"club.toml: meeting[0].{expected}"]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        (
            'kind = "fine_details"',
            "kind = 'fine_details': one of: moon_evening, fine_detail, thin_crescent, dark_sky; "
            "did you mean 'fine_detail'?",
        ),
        (
            'weekdays = ["fryday"]',
            'weekdays = [\'fryday\']: a list of weekdays such as ["friday", "saturday"]; '
            "did you mean 'friday'?",
        ),
        ("weekdays = []", 'weekdays = []: a list of weekdays such as ["friday", "saturday"]'),
        (
            "lit = [0.9, 0.4]",
            "lit = [0.9, 0.4]: two numbers from 0 to 1: the least lit fraction, then the greatest",
        ),
        ('moon = "full"', "moon = 'full': one of: waxing, waning, either"),
        ("dates = 0", "dates = 0: a whole number from 1 to 60"),
        ("dates = 2.5", "dates = 2.5: a whole number from 1 to 60"),
        ("least_landing_chance = 50", "least_landing_chance = 50: a number from 0 to 1"),
        ("spacing_days = 200", "spacing_days = 200: a whole number from 1 to 183"),
    ],
)
def test_one_wrong_line_in_an_outing(
    line: str, expected: str, edited: Edited, faults_in: FaultsIn
) -> None:
    """An outing's fault names its index and what would be right."""
    lines = {"kind": 'kind = "dark_sky"'}
    lines[line.partition(" ")[0]] = line
    text = edited() + "[[outing]]\n" + "\n".join(lines.values())
    assert faults_in(text) == [f"club.toml: outing[0].{expected}"]


def test_missing_keys_are_named(faults_in: FaultsIn) -> None:
    """What must be there and is not is a fault with the value missing."""
    assert faults_in("[club]\n[[site]]\n") == [
        "club.toml: club.name = missing: a text of 1 to 120 characters",
        f"club.toml: club.years = missing: {YEARS}",
        "club.toml: site[0].name = missing: a text of 1 to 120 characters",
        "club.toml: site[0].latitude_deg = missing: a number from -90 to 90",
        "club.toml: site[0].longitude_deg = missing: a number from -180 to 180",
        f"club.toml: site[0].timezone = missing: {ZONE}",
    ]


def test_an_empty_file_lacks_a_club_and_a_site(faults_in: FaultsIn) -> None:
    """Nothing at all is told by its missing tables."""
    assert faults_in("") == [
        "club.toml: club = missing: a table",
        "club.toml: site = missing: a list of tables [[site]], from 1 to 2000 of them",
    ]


def test_a_single_site_table_is_explained(edited: Edited, faults_in: FaultsIn) -> None:
    """``[site]`` for ``[[site]]`` is an easy slip."""
    (fault,) = faults_in(edited().replace("[[site]]", "[site]"))
    assert fault.startswith("club.toml: site = {")
    assert fault.endswith(": a list of tables [[site]], from 1 to 2000 of them")


def test_all_faults_come_at_once(edited: Edited, faults_in: FaultsIn) -> None:
    """Faults of several tables, of checks between tables and of horizons are all reported."""
    text = edited(
        '[club] langauge = "en"',
        "[[site]] latitude_deg = 91",
        "[[site]] horizon = [[400, 0]]",
        "[telescope] highest_altitude_deg = 20",
        '[telescope] mount = "fork"',
        "[moon] lowest_altitude_deg = 30",
        "[moon] thinnest_fraction = 2",
        "[safety] sun_stop_deg = 40",
    )
    assert [line.split(": ")[1].split(" = ")[0] for line in faults_in(text)] == [
        "club.langauge",
        "site[0].latitude_deg",
        "telescope.mount",
        "moon.lowest_altitude_deg",
        "moon.thinnest_fraction",
        "safety.sun_stop_deg",
        "site[0].horizon[0]",
    ]


def test_the_second_site_is_named_by_its_index(edited: Edited, faults_in: FaultsIn) -> None:
    """Lists count from 0."""
    text = edited() + '[[site]]\nname = "B"\nlatitude_deg = 91\nlongitude_deg = 0\ntimezone="UTC"'
    assert faults_in(text) == ["club.toml: site[1].latitude_deg = 91: a number from -90 to 90"]


def test_two_sites_cannot_share_a_folder(edited: Edited, faults_in: FaultsIn) -> None:
    """Names that differ only in what a folder name cannot hold collide, beside other faults."""
    second = '[[site]]\nname = "QUARRY: field!"\nlatitude_deg = 91\nlongitude_deg = 0\n'
    assert faults_in(edited() + second + 'timezone = "UTC"') == [
        "club.toml: site[1].slug = missing: a folder name of its own: an earlier site has "
        '"quarry-field"',
        "club.toml: site[1].latitude_deg = 91: a number from -90 to 90",
    ]


def test_a_long_value_is_shortened(edited: Edited, faults_in: FaultsIn) -> None:
    """A value of ten thousand characters does not fill the screen."""
    (fault,) = faults_in(edited(f'[club] name = "{"x" * 10_000}"'))
    assert fault.endswith(": a text of 1 to 120 characters")
    assert len(fault) < 150


def test_very_many_faults_are_cut_short(edited: Edited, faults_in: FaultsIn) -> None:
    """A thousand faults are a first two hundred and a last line that says so."""
    text = edited("[[site]] horizon = [" + "[0]," * 1000 + "]")
    lines = faults_in(text)
    assert len(lines) == MOST_FAULTS + 1
    assert lines[-1] == "club.toml: more faults = not listed: mend the ones above first"
