"""What happened in the invented yard: logs, stacks and events, in days before today."""

from dataclasses import dataclass, field

PLACE = {
    "name": "Hollow Birch Yard", "place_label": "Upper Wendle", "lat_deg": 45.4, "lon_deg": -89.6,
    "elevation_ft": 1540.0, "time_zone": "America/Chicago",
}  # fmt: skip
PASSWORD = "sticker every two feet"
PEOPLE = (
    ("marit", "Marit", "Oxley", "owner"),
    ("jonas", "Jonas", "Vell", "hand"),
    ("guest", "Ines", "Quarry", "viewer"),
)
CONTACTS = (
    ("Tove Harrow", "is_buyer", "Makes tables; likes wide walnut."),
    ("Anselm Pyke", "is_owner", "His pine, dried for a fee."),
    ("Greenlow tree service", "is_supplier", "Street trees: mind the nails."),
    ("Bettany Crask", "is_supplier", "Farm woodlot, winter felling."),
    ("The Lantern joinery", "is_buyer", "Small lists, often."),
)
BAYS = (
    ("South row", "outdoors", {"places": 4, "map_x": 0, "map_y": 0, "map_w": 5, "map_h": 2}),
    ("North row", "outdoors", {"places": 4, "map_x": 0, "map_y": 2, "map_w": 5, "map_h": 2}),
    (
        "Long shed", "shed",
        {"places": 4, "map_x": 6, "map_y": 0, "map_w": 3, "map_h": 3, "air": "offset", "offset_temp_f": 2.0,
         "offset_rh_pct": -3.0},
    ),
    ("Fan shed", "shed", {"places": 1, "map_x": 6, "map_y": 3, "map_w": 3, "map_h": 1, "air": "steady",
                          "steady_temp_f": 84.0, "steady_rh_pct": 38.0}),
    ("Sun kiln", "kiln", {"places": 1, "map_x": 10, "map_y": 0, "map_w": 2, "map_h": 2}),
    (
        "Dry room", "dry_store",
        {"places": 3, "map_x": 10, "map_y": 2, "map_w": 2, "map_h": 2, "air": "steady", "steady_temp_f": 64.0,
         "steady_rh_pct": 40.0},
    ),
)  # fmt: skip


@dataclass(frozen=True)
class LogTold:
    """A log: species, diameters [in], length [ft], and what was sawn from it when."""

    name: str
    species_key: str
    small_in: float
    large_in: float
    length_ft: float
    arrived: int
    sawn: int | None = None
    thickness_in: float = 2.125
    slabs: int = 8
    kind: str = "live_edge"
    supplier: str = ""
    owner: str = ""
    cost: str | None = None
    sealed: bool = True
    figure: str = ""
    note: str = ""
    defect_pct: float = 0.0


@dataclass(frozen=True)
class StackTold:
    """A stack: logs in it, where it went when, and what was observed of it."""

    name: str
    logs: tuple[str, ...]
    built: int
    bay: str
    moves: tuple[tuple[int, str], ...] = ()
    weighed_every: int = 0
    samples: int = 2
    oven_at: tuple[int, ...] = ()
    meter_at: tuple[int, ...] = ()
    slip_at: int | None = None
    dry: tuple[int, float] | None = None
    down: int | None = None
    covered: bool = True
    sticker_in: float = 0.75
    note: str = ""
    ln_d: float = 0.0
    photos: tuple[str, ...] = ()
    options: dict = field(default_factory=dict)


LOGS = (
    LogTold("A", "oak-northern-red", 19, 23, 8.5, 540, 522, 2.125, 8, supplier="Bettany Crask", cost="95.00"),
    LogTold("B", "oak-northern-red", 18, 21, 8.5, 540, 521, 2.125, 7, supplier="Bettany Crask", cost="88.00"),
    LogTold("C", "maple-sugar", 16, 19, 10.5, 530, 505, 1.125, 10, supplier="Bettany Crask", cost="70.00"),
    LogTold("D", "maple-sugar", 15, 18, 10.5, 530, 504, 1.125, 9, supplier="Bettany Crask", cost="66.00"),
    LogTold("E", "walnut-black", 17, 22, 8.5, 470, 452, 2.25, 7, supplier="Greenlow tree service", cost="260.00",
            figure="crotch", note="Two nails near the butt."),
    LogTold("F", "maple-red", 15, 17, 8.5, 515, 480, 1.125, 9, sealed=False, note="Lay in a heap for weeks."),
    LogTold("G", "ash-white", 18, 21, 10.5, 420, 400, 1.625, 9, supplier="Greenlow tree service", cost="40.00"),
    LogTold("H", "ash-white", 16, 19, 10.5, 420, 399, 1.625, 8, supplier="Greenlow tree service", cost="35.00"),
    LogTold("I", "cherry-black", 15, 18, 8.5, 300, 285, 1.375, 9, supplier="Bettany Crask", cost="110.00"),
    LogTold("J", "oak-white", 24, 28, 10.5, 330, 312, 3.25, 6, supplier="Greenlow tree service", cost="180.00",
            note="Table slabs."),
    LogTold("K", "pine-eastern-white", 17, 20, 12.5, 200, 188, 1.125, 0, kind="lot", owner="Anselm Pyke",
            sealed=False),
    LogTold("L", "birch-yellow", 16, 19, 8.5, 260, 240, 2.125, 7, supplier="Bettany Crask", cost="60.00"),
    LogTold("M", "elm-american", 20, 24, 8.5, 360, 340, 2.125, 7, supplier="Greenlow tree service", cost="30.00",
            figure="burl"),
    LogTold("N", "walnut-black", 16, 20, 8.5, 250, 232, 1.375, 8, supplier="Greenlow tree service", cost="240.00"),
    LogTold("O", "oak-northern-red", 20, 24, 8.5, 30, 13, 1.125, 11, supplier="Bettany Crask", cost="98.00"),
    LogTold("P", "oak-white", 17, 20, 8.5, 40, 16, 2.125, 6, supplier="Bettany Crask", cost="105.00"),
    LogTold("Q", "cherry-black", 17, 21, 8.5, 30, 9, 2.125, 6, supplier="Bettany Crask", cost="140.00",
            figure="curl"),
    LogTold("R", "butternut", 14, 17, 8.5, 24, 0, 2.125, 4, supplier="Greenlow tree service", cost="45.00"),
    LogTold("S", "maple-sugar", 18, 22, 10.5, 70, None, supplier="Bettany Crask", cost="90.00", sealed=False),
    LogTold("T", "oak-northern-red", 22, 26, 12.5, 35, None, supplier="Bettany Crask", cost="130.00"),
    LogTold("U", "basswood", 16, 18, 8.5, 12, None, sealed=False, defect_pct=12.0),
    LogTold("V", "hackberry", 15, 18, 8.5, 4, None, supplier="Greenlow tree service"),
)  # fmt: skip

STACKS = (
    StackTold("ST-1", ("A", "B"), 517, "South row", weighed_every=42, oven_at=(515,), meter_at=(60, 20), ln_d=0.25,
              photos=("Built in spring, sheet metal on top",)),
    StackTold("ST-2", ("C", "D"), 500, "North row", moves=((395, "Sun kiln"), (366, "Dry room")), weighed_every=30,
              oven_at=(498,), meter_at=(420,), dry=(367, 7.6), down=340, ln_d=0.1),
    StackTold("ST-3", ("E",), 448, "Long shed", moves=((150, "Sun kiln"), (92, "Dry room")), weighed_every=45,
              oven_at=(446,), meter_at=(190, 160), dry=(93, 8.4), down=80, ln_d=0.3),
    StackTold("ST-4", ("F",), 438, "North row", weighed_every=60, samples=1, covered=False, down=250,
              note="Six weeks in a heap before it was stickered, no cover: grey stain, rot. Firewood."),
    StackTold("ST-5", ("G", "H"), 396, "South row", moves=((120, "Long shed"),), weighed_every=38, oven_at=(394,),
              meter_at=(75, 30, 12), ln_d=0.05),
    StackTold("ST-6", ("I",), 281, "North row", weighed_every=30, oven_at=(280,), meter_at=(50,), ln_d=-0.1),
    StackTold("ST-7", ("J",), 307, "South row", weighed_every=28, oven_at=(305,), slip_at=112, ln_d=-0.15,
              sticker_in=1.0, note="Thick: keep it shaded."),
    StackTold("ST-8", ("K",), 186, "Long shed", weighed_every=50, samples=1, note="Anselm's pine, sheathing boards."),
    StackTold("ST-9", ("M",), 335, "North row", moves=(), weighed_every=45, oven_at=(333,), ln_d=0.0,
              options={"restacked": 150}),
    StackTold("ST-10", ("L",), 236, "North row", note="Never weighed yet."),
    StackTold("ST-11", ("N",), 228, "Long shed", moves=((6, "Sun kiln"),), weighed_every=40, oven_at=(226,),
              meter_at=(40, 8), ln_d=0.2),
    StackTold("ST-12", ("O",), 10, "Fan shed", weighed_every=3, oven_at=(9,), ln_d=0.35,
              note="Put before the fans to hurry it."),
)  # fmt: skip
