//! Every key of the boat file, in the order of its page: what it holds and what it means.
//! The readers take type, range and unit from here, the page and the JSON Schema all.
use super::{Hinge, MeshUnits, OpeningState, Plug, Role, SponsonSection, SponsonSides, WaterGiven};
use crate::boat::fields::Bare::{Allowed, Refused};
use crate::boat::fields::Bound::{Any, NotNegative, Positive};
use crate::boat::fields::Holds::{
    Choice, Count, Flag, Own, Quantity, Share, Sizes, Table, Tables, Text,
};
use crate::boat::fields::{Holds, TableKeys, keys, words_of};
use crate::boat::tape;
use crate::quantity::Dimension::{
    Angle, Area, ArealDensity, Density, Energy, Fraction, Length, Mass, Pressure, Salinity,
    Temperature, Volume,
};

/// A place, and one coordinate of it, by numbers or by tape.
const POINT: Holds = Holds::Point(&TAPE);
const POINTS: Holds = Holds::Points(&TAPE);
const X: Holds = Holds::Coordinate(0, &TAPE);
const Y: Holds = Holds::Coordinate(1, &TAPE);
const Z: Holds = Holds::Coordinate(2, &TAPE);

pub(super) static TOP: TableKeys = TableKeys {
    title: "the boat file",
    example: "",
    tells: "what stands above the first table",
    keys: keys! {
        "name" => Text("Dipper"), "what the boat is called; its file's name unless said";
        "extends" => Text("before.toml"), "starts from another file (`\"before.toml#name\"`: from its loading condition) and changes only what it names: lists by `name`, and `remove = true` beside a name drops that entry";
        "water" => Table(&WATER), "the water it floats in; fresh unless said";
        "hull" => Table(&HULL), "the hull; required";
        "part" => Tables(&PART), "what is added to the hull or cut from it";
        "opening" => Tables(&OPENING), "where water can come in";
        "item" => Tables(&ITEM), "what is carried";
        "compartment" => Tables(&COMPARTMENT), "spaces inside that flood each by itself";
        "passage" => Tables(&PASSAGE), "holes in bulkheads";
        "condition" => Own("tables, each under `[[condition]]`", "[[condition]] with name = \"no ballast\" below", &["array"]), "a loading condition: its `name`, and below it what changes, as `[[condition.item]]` or `[condition.water]`; asked for as `boat.toml#name`";
        "yardsticks" => Table(&YARDSTICKS), "the limits that margins are held to";
    },
};

pub(super) static WATER: TableKeys = TableKeys {
    title: "[water]",
    example: "[water] with kind = \"fresh\" below",
    tells: "the water it floats in, said one way of three",
    keys: keys! {
        "kind" => Choice(&WATER_WORDS), "the trade's round water: fresh 1000 kg/m³ (unless said), sea 1025, pool";
        "salinity" => Quantity(Salinity, Any, Allowed), "measured, with `temperature`; density by EOS-80";
        "temperature" => Quantity(Temperature, Any, Allowed), "measured, with `salinity`";
        "density" => Quantity(Density, Any, Allowed), "measured";
    },
};
pub(super) const WATERS: [(&str, WaterGiven); 3] = [
    ("fresh", WaterGiven::Fresh),
    ("sea", WaterGiven::Sea),
    ("pool", WaterGiven::Pool),
];
static WATER_WORDS: [&str; 3] = words_of(&WATERS);

pub(super) static HULL: TableKeys = TableKeys {
    title: "[hull]",
    example: "[hull] with mesh = \"hull.stl\" below",
    tells: "the moulded hull as scanned or modelled",
    keys: keys! {
        "mesh" => Text("hull.stl"), "the hull's mesh, beside this file; required";
        "units" => Choice(&UNIT_WORDS), "unit of the mesh's numbers; guessed, and doubted, unless said";
        "turn" => Table(&TURN), "turns the mesh into the boat frame (x forward, y to port, z up): about x first, then y, then z, each axis fixed in space, right-handed";
        "scale_to" => Table(&SCALE_TO), "scales the turned mesh until it is this long along x";
        "origin" => POINT, "the point of the turned and scaled mesh that becomes 0, 0, 0";
        "mend" => Table(&MEND), "how the raw scan `mesh` becomes the hull";
        "fill_under" => Quantity(Length, NotNegative, Refused), "holes shorter round than this are scan defects and are mended; 60 mm unless said";
        "mass" => Quantity(Mass, Positive, Allowed), "what the bare hull weighs";
        "centre" => POINT, "where it balances; the middle of its skin, and told, where it is left out";
        "density" => Quantity(Density, Positive, Allowed), "beside a mass: of its material, which gives its volume under water";
        "skin" => Table(&SKIN), "instead of a mass: an even skin all over the mesh";
        "laminate" => Table(&LAMINATE), "instead of a mass or a skin: so many layers of cloth";
        "area_share" => Share, "beside a skin or laminate: the share of the mesh's area that the hull's averaged skin has, since a scan's roughness adds to it; `awash mend --boat` writes it";
        "scan_error" => Quantity(Length, NotNegative, Refused), "how far the scanned surface may lie from the true one, all over at once, ±";
        "tilt_error" => Table(&TILT_ERROR), "how far the frame found of a scan may be turned from the hull's own, ±; `awash mend --boat` writes it";
        "origin_error" => Table(&ORIGIN_ERROR), "how far its origin may lie off, ±, likewise";
        "draught_marks" => Table(&DRAUGHT_MARKS), "where along the hull draughts are read; its ends unless said";
        "measured" => Table(&MEASURED), "beside a mass: what was measured of all aboard together, as `awash calibrate` writes it; a file that weighs the hull anew drops it";
    },
};
pub(super) const UNITS: [(&str, MeshUnits); 5] = [
    ("m", MeshUnits::Metre),
    ("cm", MeshUnits::Centimetre),
    ("mm", MeshUnits::Millimetre),
    ("in", MeshUnits::Inch),
    ("ft", MeshUnits::Foot),
];
static UNIT_WORDS: [&str; 5] = words_of(&UNITS);

pub(super) static TURN: TableKeys = TableKeys {
    title: "`turn`",
    example: "turn = { about_z = \"180 deg\" }",
    tells: "turns of a mesh; one of them at least",
    keys: keys! {
        "about_x" => Quantity(Angle, Any, Allowed), "turn about x; none unless said";
        "about_y" => Quantity(Angle, Any, Allowed), "turn about y, then";
        "about_z" => Quantity(Angle, Any, Allowed), "turn about z, last";
    },
};
static SCALE_TO: TableKeys = TableKeys {
    title: "`scale_to`",
    example: "scale_to = { length = \"3.4 m\" }",
    tells: "how long the hull is",
    keys: keys! {
        "length" => Quantity(Length, Positive, Allowed), "its length along x; required";
    },
};
static DRAUGHT_MARKS: TableKeys = TableKeys {
    title: "`draught_marks`",
    example: "draught_marks = { forward = 3.1, aft = 0.3 }",
    tells: "x at which draughts are read; both required",
    keys: keys! {
        "forward" => X, "x of the forward mark, more than `aft`";
        "aft" => X, "x of the after mark";
    },
};
static TILT_ERROR: TableKeys = TableKeys {
    title: "`tilt_error`",
    example: "tilt_error = { heel = \"0.1 deg\", pitch = \"0.3 deg\" }",
    tells: "± of a scan's frame; both required",
    keys: keys! {
        "heel" => Quantity(Angle, NotNegative, Allowed), "± across";
        "pitch" => Quantity(Angle, NotNegative, Allowed), "± fore and aft";
    },
};
static ORIGIN_ERROR: TableKeys = TableKeys {
    title: "`origin_error`",
    example: "origin_error = { x = \"1 mm\", y = \"0.2 mm\", z = \"0.5 mm\" }",
    tells: "± of a scan's origin; all required",
    keys: keys! {
        "x" => Quantity(Length, NotNegative, Refused), "± forward";
        "y" => Quantity(Length, NotNegative, Refused), "± to port";
        "z" => Quantity(Length, NotNegative, Refused), "± up";
    },
};

static MEND: TableKeys = TableKeys {
    title: "[hull.mend]",
    example: "[hull.mend] with upright = true below",
    tells: "how a raw scan becomes the hull, before `turn`, `scale_to` and `origin`, as `awash mend` prints it; each left out where it is not wanted",
    keys: keys! {
        "drop_floor" => Flag, "cuts off the floor that the hull stood on";
        "largest_only" => Flag, "keeps only the largest piece";
        "mirror" => Own("\"cut\", \"centre\" or the number of a flat part", "mirror = \"cut\"", &["string", "integer"]), "makes the missing half: `\"cut\"` at the flat cut, `\"centre\"` at the middle, or the number of a flat part of the open edge as `awash inspect` numbers them";
        "upright" => Flag, "turns it deck up, bow forward, level";
        "swap_ends" => Flag, "beside `upright`: the other end is the bow";
        "upside_down" => Flag, "beside `upright`: the other side is up";
        "rim_heights" => Table(&RIM_HEIGHTS), "beside `upright`: how high the rim stands at each end, which levels it";
        "crop" => Table(&CROP), "keeps what lies between";
        "outer_skin" => Flag, "keeps the outer of two skins";
        "smooth_rims" => Flag, "smooths ragged rims";
        "fill" => HOLES, "fills these holes too";
        "keep" => HOLES, "leaves these holes open";
        "rebuild" => Flag, "makes a closed surface round it all";
    },
};
const HOLES: Holds = Own(
    "a list of holes' numbers, from 1 up",
    "fill = [1, 4]",
    &["array"],
);
static RIM_HEIGHTS: TableKeys = TableKeys {
    title: "`rim_heights`",
    example: "rim_heights = { bow = \"42 cm\", stern = \"36 cm\" }",
    tells: "heights of the rim over the base; both required",
    keys: keys! {
        "bow" => Quantity(Length, Any, Allowed), "at the bow";
        "stern" => Quantity(Length, Any, Allowed), "at the stern";
    },
};
static CROP: TableKeys = TableKeys {
    title: "`crop`",
    example: "crop = { bottom = \"-1 cm\", aft = -0.1 }",
    tells: "coordinates between which the mesh is kept; no limit where one is left out",
    keys: keys! {
        "aft" => Quantity(Length, Any, Allowed), "least x";
        "forward" => Quantity(Length, Any, Allowed), "greatest x";
        "starboard" => Quantity(Length, Any, Allowed), "least y";
        "port" => Quantity(Length, Any, Allowed), "greatest y";
        "bottom" => Quantity(Length, Any, Allowed), "least z";
        "top" => Quantity(Length, Any, Allowed), "greatest z";
    },
};
static MEASURED: TableKeys = TableKeys {
    title: "`measured`",
    example: super::measured::EXAMPLE,
    tells: "mass and centre of all aboard, known better than those of its things, so that the hull makes up the rest; all required",
    keys: keys! {
        "mass" => Quantity(Mass, Positive, Allowed), "of all aboard, ±";
        "centre" => POINT, "of all aboard, ±";
        "correlation" => Own("four rows of four numbers", super::measured::EXAMPLE, &["array"]), "of mass, x, y, z in four rows of four";
        "aboard" => Own("a list of rows [name, mass, x, y, z]", super::measured::EXAMPLE, &["array"]), "a row name, mass, x, y, z of each thing that had a ± then";
    },
};

pub(super) static PART: TableKeys = TableKeys {
    title: "[[part]]",
    example: "",
    tells: "something added to the hull or taken out of it",
    keys: keys! {
        "name" => Text("stern wall"), "its own name; required, but for a cover, which may go by what it covers";
        "role" => Choice(&ROLE_WORDS), "whether the outer envelope grows by it, is cut out where it is and closed by new skin, carries it outside (it need not touch), or keeps its shape (a lid over an opening); required unless `covers` is given, or the shape says it: a `wall`, or one made from the hull";
        "mesh" => Text("wall.stl"), "its shape: a closed mesh";
        "units" => Choice(&UNIT_WORDS), "unit of the mesh's numbers";
        "box" => Table(&BOX), "its shape: a box along the axes";
        "cylinder" => Table(&CYLINDER), "its shape: a cylinder";
        "outline" => Table(&OUTLINE), "its shape: a ring of points drawn along an axis";
        "wall" => Table(&WALL), "its shape: a thin wall that stands up";
        "deck" => Table(&DECK), "made from the hull: a deck from rim to rim; like all that is made from the hull it needs no `role`, and is three layers of 200 g/m² cloth with as much resin (ours), and that is told, unless its weight is said";
        "bulkhead" => Table(&BULKHEAD), "made from the hull: a wall across the inside";
        "sponson" => Table(&SPONSON), "made from the hull: along its side, on the outside";
        "skeg" => Table(&SKEG), "made from the hull: along under its bottom";
        "filling" => Table(&FILLING), "made from the hull: foam fitted to the inside; beside `foam`";
        "pocket" => Table(&POCKET), "made from the hull: a recess into its skin";
        "lifted" => Table(&LIFTED), "made from the hull: a panel of its skin turned up";
        "at" => POINT, "moves the shape; not where it is given by tape";
        "mass" => Quantity(Mass, NotNegative, Allowed), "what it weighs; a part that says nothing of its weight counts as weightless, and that is told";
        "centre" => POINT, "beside a mass: where it balances, moved by `at`; the middle of its volume unless said";
        "density" => Quantity(Density, Positive, Allowed), "beside a mass: of its material, which gives its volume under water";
        "skin" => Table(&SKIN), "instead of a mass: an even skin all over";
        "laminate" => Table(&LAMINATE), "instead of a mass: so many layers of cloth";
        "foam" => Table(&FOAM), "instead of a mass: solid foam";
        "covers" => Text("cockpit"), "the opening that a cover closes; a cover needs no more than that and its `mass`, and lies on the rim then";
    },
};
pub(super) const ROLES: [(&str, Role); 4] = [
    ("add", Role::Add),
    ("recess", Role::Recess),
    ("attach", Role::Attach),
    ("cover", Role::Cover),
];
static ROLE_WORDS: [&str; 4] = words_of(&ROLES);

pub(super) static BOX: TableKeys = TableKeys {
    title: "`box`",
    example: "box = { min = [0, -0.3, 0], max = [\"60 cm\", 0.3, \"25 cm\"] }",
    tells: "a box along the axes, by two corners or by middle and size",
    keys: keys! {
        "min" => POINT, "its aftmost, most starboard, lowest corner";
        "max" => POINT, "its foremost, most port, highest corner";
        "centre" => POINT, "its middle";
        "size" => Sizes, "its length, breadth and height";
    },
};
pub(super) static CYLINDER: TableKeys = TableKeys {
    title: "`cylinder`",
    example: "cylinder = { from = [1, 0, 0.1], to = [1, 0, 0.4], diameter = \"110 mm\" }",
    tells: "a cylinder of 256 sides, its section as large as the circle: a rim cut by it is off by 0.005 % of the radius at most",
    keys: keys! {
        "from" => POINT, "the middle of one end; required";
        "to" => POINT, "the middle of the other; required";
        "radius" => Quantity(Length, Positive, Allowed), "its radius, or";
        "diameter" => Quantity(Length, Positive, Allowed), "its diameter";
    },
};
pub(super) static OUTLINE: TableKeys = TableKeys {
    title: "`outline`",
    example: "outline = { points = [[1.2, 0.2, 0], [1.6, 0.2, 0], [1.4, -0.1, 0]], along = \"z\", from = 0.2, to = 0.5 }",
    tells: "a ring of points drawn along an axis; all required",
    keys: keys! {
        "points" => POINTS, "three or more, round the outline; their own coordinate along the axis does not count";
        "along" => Choice(&AXIS_WORDS), "the axis";
        "from" => Quantity(Length, Any, Allowed), "where it begins along the axis";
        "to" => Quantity(Length, Any, Allowed), "where it ends";
    },
};
pub(super) const AXES: [(&str, usize); 3] = [("x", 0), ("y", 1), ("z", 2)];
static AXIS_WORDS: [&str; 3] = words_of(&AXES);
pub(super) static WALL: TableKeys = TableKeys {
    title: "`wall`",
    example: "wall = { round = \"cockpit\", height = \"12 cm\" }",
    tells: "a thin wall of a laminate or skin, a coaming or a bulwark: its mass is length × height, its thickness that of the layup",
    keys: keys! {
        "foot" => POINTS, "the points that it stands on; let it reach a little into the hull";
        "closed" => Flag, "the foot comes back to its first point, as a coaming does: the water is kept out of all that it encloses, and its top may be an opening's rim";
        "round" => Text("cockpit"), "instead of a foot: the opening on whose rim it stands, which then has its rim at the wall's top; any that faces up but one by `rim` alone. Its length is that of the outside of the rim in plan";
        "height" => Quantity(Length, Positive, Allowed), "how high it stands, at its lowest where its top is level; required";
        "flare" => Quantity(Angle, Any, Allowed), "beside `round`: how far it leans outward from upright; 0 unless said";
        "level_at" => Table(&LEVEL_AT), "beside `round`: its top is level when the craft lies at this heel and pitch, as `float` tells them; otherwise it follows its foot";
        "level_at_rest" => Flag, "beside `round`: its top is level as the craft lies at rest with what the file has aboard, the wall with it; that is found by itself and told, and a loading condition does not change it";
    },
};
static LEVEL_AT: TableKeys = TableKeys {
    title: "`level_at`",
    example: "level_at = { pitch = \"-0.6 deg\" }",
    tells: "how the craft lies; 0 where one is left out",
    keys: keys! {
        "heel" => Quantity(Angle, Any, Allowed), "starboard down, +";
        "pitch" => Quantity(Angle, Any, Allowed), "bow up, +";
    },
};
pub(super) static DECK: TableKeys = TableKeys {
    title: "`deck`",
    example: "deck = { over = \"cockpit\", aft = { from_stem = \"80 cm\" }, camber = \"4 cm\" }",
    tells: "closes an opening from rim to rim between two stations; what is left of the opening keeps its name, its rim running across where the deck stops",
    keys: keys! {
        "over" => Text("cockpit"), "the opening that it closes, an open edge of the hull (`loop`) or the top of a wall before it; required";
        "aft" => X, "its after end; the opening's unless said";
        "forward" => X, "its forward end; the opening's unless said";
        "camber" => Quantity(Length, NotNegative, Allowed), "its rise over the rim amidships where it is widest, in a parabola that is the same curve all along; 0 unless said";
        "crown" => Quantity(Length, NotNegative, Allowed), "its further rise half-way between its ends; 0 unless said";
        "bulkhead" => Flag, "closed down to the bottom where it stops, by a bulkhead of the same make";
        "compartment" => Text("bow locker"), "beside `bulkhead`: makes the space under it a compartment of this name";
        "sealed" => Flag, "beside `compartment`: no opening leads in; it never floods";
    },
};
static BULKHEAD: TableKeys = TableKeys {
    title: "`bulkhead`",
    example: "bulkhead = { station = { from_stern = \"60 cm\" }, compartment = \"stern\", closes = \"aft\" }",
    tells: "a wall across the inside, from the bottom to the deck or the rim",
    keys: keys! {
        "station" => X, "where it stands; required";
        "compartment" => Text("stern"), "makes the space on one side of it a compartment of this name";
        "closes" => Choice(&END_WORDS), "on which side that is";
        "sealed" => Flag, "beside `compartment`: no opening leads in; it never floods";
    },
};
pub(super) const ENDS: [(&str, bool); 2] = [("aft", false), ("forward", true)];
static END_WORDS: [&str; 2] = words_of(&ENDS);
static SPONSON: TableKeys = TableKeys {
    title: "`sponson`",
    example: "sponson = { aft = 0.2, forward = \"2.6 m\", middle = \"25 cm\", width = \"12 cm\" }",
    tells: "runs along the outside of the hull's side, at one height, with one section across the boat; drawn straight between stations that stand closer together where the skin curves, its volume within 0.01 %",
    keys: keys! {
        "aft" => X, "its after end; required";
        "forward" => X, "its forward end; required";
        "middle" => Z, "the height of its middle; required";
        "section" => Choice(&SECTION_WORDS), "a tube whose axis lies on the skin; an upright rectangle; level on top and running in to the skin at its foot; round unless said";
        "width" => Quantity(Length, Positive, Allowed), "how far it stands out from the skin at its middle, or a tube's diameter; required";
        "height" => Quantity(Length, Positive, Allowed), "how high it is; as its width unless said";
        "offset" => Quantity(Length, NotNegative, Allowed), "moves it out from the skin; behind a box or a triangle the gap is filled, a round one must still touch the skin; 0 unless said";
        "side" => Choice(&SIDE_WORDS), "on which side; on both unless said";
    },
};
pub(super) const SECTIONS: [(&str, SponsonSection); 3] = [
    ("round", SponsonSection::Round),
    ("box", SponsonSection::Box),
    ("triangle", SponsonSection::Triangle),
];
static SECTION_WORDS: [&str; 3] = words_of(&SECTIONS);
pub(super) const SIDES: [(&str, SponsonSides); 3] = [
    ("port", SponsonSides::Port),
    ("starboard", SponsonSides::Starboard),
    ("both", SponsonSides::Both),
];
static SIDE_WORDS: [&str; 3] = words_of(&SIDES);
static SKEG: TableKeys = TableKeys {
    title: "`skeg`",
    example: "skeg = { aft = 0.1, forward = \"90 cm\", depth = \"10 cm\", width = \"3 cm\" }",
    tells: "a fin along under the bottom",
    keys: keys! {
        "aft" => X, "its after end; required";
        "forward" => X, "its forward end; required";
        "depth" => Quantity(Length, Positive, Allowed), "how far it reaches below the skin at its middle; required";
        "width" => Quantity(Length, Positive, Allowed), "how thick it is; required";
        "off_middle" => Y, "y of its middle; the hull's own middle unless said";
    },
};
static FILLING: TableKeys = TableKeys {
    title: "`filling`",
    example: "filling = { aft = 0, forward = \"60 cm\", below = \"30 cm\" }",
    tells: "a block of foam fitted to the inside of the hull, right out to the skin, and clear of every item with a `size` and of the foam before it in the file",
    keys: keys! {
        "aft" => X, "its after end; required";
        "forward" => X, "its forward end; required";
        "above" => Z, "its lower face; the bottom unless said";
        "below" => Z, "its top; the deck or the rim unless said";
        "port_of" => Y, "its starboard face; the skin unless said";
        "starboard_of" => Y, "its port face; the skin unless said";
        "clear" => Quantity(Length, NotNegative, Allowed), "room left round items; 0 unless said";
        "sheet" => Quantity(Length, Positive, Refused), "the thickness of the sheets that it is cut from, stacked level from its lowest point up: `list` gives the cuts, `template --part NAME --sheet N` draws them";
    },
};
static POCKET: TableKeys = TableKeys {
    title: "`pocket`",
    example: "pocket = { centre = { from_stem = \"1.2 m\", from_middle = \"port\", below_rim = \"15 cm\" }, length = \"30 cm\", height = \"20 cm\", corner = \"3 cm\", depth = \"8 cm\" }",
    tells: "cut into the hull's skin, square to it, and closed by new skin",
    keys: keys! {
        "centre" => POINT, "its middle on the skin, within 3 cm of it (ours); required";
        "diameter" => Quantity(Length, Positive, Allowed), "of a round one, or";
        "length" => Quantity(Length, Positive, Allowed), "along the boat, or across it where the skin faces along it, and";
        "height" => Quantity(Length, Positive, Allowed), "up the skin, or across a deck";
        "corner" => Quantity(Length, NotNegative, Allowed), "the radius of its corners; 0 unless said";
        "depth" => Quantity(Length, Positive, Allowed), "how deep its floor lies below its edge, flat where the edge is; required";
    },
};
static LIFTED: TableKeys = TableKeys {
    title: "`lifted`",
    example: "lifted = { centre = [1.9, 0, 0.4], length = \"60 cm\", height = \"40 cm\", hinge = \"aft\", height_up = \"12 cm\" }",
    tells: "a panel of the deck, cut free along three sides and turned up about the fourth, the gaps closed by laminate. The panel keeps its own mass and takes it up with it (of a hull that is weighed whole its small rise is not counted); the room under it opens into the hull unless that is closed",
    keys: keys! {
        "centre" => POINT, "its middle on the skin, within 3 cm of it (ours); required";
        "length" => Quantity(Length, Positive, Allowed), "along the boat, or across it where the skin faces along it; required";
        "height" => Quantity(Length, Positive, Allowed), "across a deck, or up the skin; required";
        "corner" => Quantity(Length, NotNegative, Allowed), "the radius of its corners; 0 unless said";
        "hinge" => Choice(&HINGE_WORDS), "the side that stays (of a panel in the hull's side port is its upper one); required";
        "angle" => Quantity(Angle, Positive, Allowed), "how far it is turned up, or";
        "height_up" => Quantity(Length, Positive, Allowed), "how high its free edge then stands square over the skin";
        "closed" => Flag, "closes what it opens below with the same laminate: the room under it is then a sealed compartment, called as the part unless said";
        "compartment" => Text("scoop"), "closes it likewise, and the room under it is a compartment of this name";
        "sealed" => Flag, "that no water gets into it";
    },
};
pub(super) const HINGES: [(&str, Hinge); 4] = [
    ("aft", Hinge::Aft),
    ("forward", Hinge::Forward),
    ("port", Hinge::Port),
    ("starboard", Hinge::Starboard),
];
static HINGE_WORDS: [&str; 4] = words_of(&HINGES);
pub(super) static SKIN: TableKeys = TableKeys {
    title: "`skin`",
    example: "skin = { thickness = \"5 mm\", density = \"955 kg/m3\" }",
    tells: "an even skin; both required",
    keys: keys! {
        "thickness" => Quantity(Length, Positive, Refused), "how thick it is";
        "density" => Quantity(Density, Positive, Allowed), "of its material";
    },
};
pub(super) static LAMINATE: TableKeys = TableKeys {
    title: "`laminate`",
    example: "laminate = { cloth = \"200 g/m2\", layers = 3, resin = \"1:1\" }",
    tells: "so many layers of cloth with so much resin, over the surface (three layers of 200 g/m² with as much resin: 1.2 kg/m², 0.76 mm)",
    keys: keys! {
        "cloth" => Quantity(ArealDensity, Positive, Refused), "what the dry cloth weighs for its area; required";
        "layers" => Count, "how many; required";
        "resin" => Quantity(Fraction, NotNegative, Allowed), "glass to resin by weight, as `\"1:1\"`, or resin over cloth as a number; 1:1 (ours), and told, unless said";
        "fibre_density" => Quantity(Density, Positive, Allowed), "of the fibres; of E-glass, 2540 kg/m³, unless said";
        "resin_density" => Quantity(Density, Positive, Allowed), "of the resin; of epoxy, 1150 kg/m³, unless said";
    },
};
pub(super) static FOAM: TableKeys = TableKeys {
    title: "`foam`",
    example: "foam = { density = \"32 kg/m3\" }",
    tells: "solid foam, its mass its volume times its density",
    keys: keys! {
        "density" => Quantity(Density, Positive, Allowed), "of the foam; required";
        "laminate" => Table(&LAMINATE), "glass over it: over what shows outside of foam along the outside, over what does not lie on the hull's skin of a `filling`; none unless said";
    },
};

pub(super) static OPENING: TableKeys = TableKeys {
    title: "[[opening]]",
    example: "",
    tells: "a hole in hollow skin: it sets a sill and changes no volume while the craft is dry",
    keys: keys! {
        "name" => Text("cockpit"), "its own name; required";
        "loop" => Count, "where it is: the open edge of the mesh of this number, the longest being 1";
        "rim" => POINTS, "where it is: points of its edge by tape; they may stand beside any other way and win over it";
        "box" => Table(&BOX), "where it is: a cutter through the skin";
        "cylinder" => Table(&CYLINDER), "the same, round";
        "outline" => Table(&OUTLINE), "the same, drawn along an axis";
        "circle" => Table(&CIRCLE), "where it is: a circle drawn on the skin";
        "rectangle" => Table(&RECTANGLE), "the same, a rectangle with rounded corners";
        "mesh" => Text("cutter.stl"), "the same, a closed mesh";
        "units" => Choice(&UNIT_WORDS), "unit of the mesh's numbers";
        "wall" => Text("coaming"), "where it is: the top of this closed wall";
        "state" => Choice(&STATE_WORDS), "what it is at the moment; open unless said";
        "plug" => Choice(&PLUG_WORDS), "of a drain: whether its plug is in; out, and told, unless said";
        "floods" => Text("bow locker"), "the compartment that its water goes to; unless said each space that it lies over, through what of it lies there";
        "discharge" => Share, "what really flows of area times √(2 g depth): 0.61, a sharp edge, unless said; 0.75 rounded, 0.80 a short tube; over a crest with air above 0.987 of it";
        "height_error" => Quantity(Length, NotNegative, Refused), "how far the height of its rim may be off, ±; that of its points, or of a rim fitted to a scan, unless said";
    },
};
static CIRCLE: TableKeys = TableKeys {
    title: "`circle`",
    example: "circle = { centre = { from_stem = \"1.2 m\", from_middle = \"port\", below_rim = \"15 cm\" }, diameter = \"110 mm\" }",
    tells: "a round opening by its middle and size, measured along the skin as a paper pattern laid on it is",
    keys: keys! {
        "centre" => POINT, "its middle on the skin, within 3 cm of it (ours); required";
        "diameter" => Quantity(Length, Positive, Allowed), "how wide it is; required";
        "along" => Choice(&AXIS_WORDS), "cut along this axis instead, as a hole saw goes: its size is then that across the axis";
    },
};
static RECTANGLE: TableKeys = TableKeys {
    title: "`rectangle`",
    example: "rectangle = { centre = { from_stem = \"1.2 m\", from_middle = \"port\", below_rim = \"15 cm\" }, length = \"40 cm\", height = \"25 cm\", corner = \"4 cm\" }",
    tells: "a rectangular opening by its middle and size, likewise",
    keys: keys! {
        "centre" => POINT, "its middle on the skin, within 3 cm of it (ours); required";
        "length" => Quantity(Length, Positive, Allowed), "along the boat, or across it where the skin faces along it; required";
        "height" => Quantity(Length, Positive, Allowed), "up the skin, or across a deck; required";
        "corner" => Quantity(Length, NotNegative, Allowed), "the radius of its corners, at most half its smaller side; 0 unless said";
        "along" => Choice(&AXIS_WORDS), "as of a circle";
    },
};
pub(super) const STATES: [(&str, OpeningState); 4] = [
    ("open", OpeningState::Open),
    ("covered", OpeningState::Covered),
    ("drain", OpeningState::Drain),
    ("vent", OpeningState::Vent),
];
static STATE_WORDS: [&str; 4] = words_of(&STATES);
pub(super) const PLUGS: [(&str, Plug); 2] = [("in", Plug::In), ("out", Plug::Out)];
static PLUG_WORDS: [&str; 2] = words_of(&PLUGS);

pub(super) static ITEM: TableKeys = TableKeys {
    title: "[[item]]",
    example: "",
    tells: "something carried",
    keys: keys! {
        "name" => Text("battery"), "its own name; required";
        "mass" => Quantity(Mass, Positive, Allowed), "what it weighs; required";
        "at" => POINT, "its centre of gravity; required";
        "volume" => Quantity(Volume, Positive, Allowed), "what it displaces when wet, or";
        "density" => Quantity(Density, Positive, Allowed), "its density";
        "size" => Sizes, "the box about `at` that its volume is spread over: what of it stands outside the hull displaces while under water; a cube of that volume unless said (ours)";
        "sealed" => Flag, "no water gets in";
        "compartment" => Text("bow locker"), "the compartment in which it takes room; the one that it lies in unless said";
        "liquid" => Table(&LIQUID), "what moves in a tank whose inside is its `size`; its `mass` is the tank without it";
        "volume_at" => POINT, "middle of its volume; `at` unless said";
        "cylinder" => Table(&AIR), "compressed air; `mass` is then the empty cylinder's, and the air's is added";
        "gas_volume" => Quantity(Volume, Positive, Refused), "how much of `volume` is gas in a soft skin, as in foam neoprene: it shrinks with depth";
        "stiffness" => Quantity(Pressure, Positive, Refused), "of foam: pressure over the share of volume that it takes away; rigid unless said";
        "person" => Flag, "someone aboard, a diver too: never guessed from a mass, and without a volume of the water's density ± 3 % (ours)";
        "head" => Quantity(Length, Positive, Allowed), "of a person: how high the top of the head is over `at`; 0.65 m unless said";
    },
};
pub(super) static LIQUID: TableKeys = TableKeys {
    title: "`liquid`",
    example: "liquid = { volume = \"8 L\", density = \"740 kg/m3\" }",
    tells: "what moves in a tank",
    keys: keys! {
        "volume" => Quantity(Volume, Positive, Refused), "how much is in it, no more than its `size` holds; required";
        "density" => Quantity(Density, Positive, Allowed), "of the liquid; 1000 kg/m³ unless said";
    },
};
pub(super) static AIR: TableKeys = TableKeys {
    title: "`cylinder` of an item",
    example: "cylinder = { water_volume = \"11.1 L\", pressure = \"207 bar\", reserve = \"50 bar\" }",
    tells: "a cylinder of compressed air",
    keys: keys! {
        "water_volume" => Quantity(Volume, Positive, Refused), "space inside, as stamped on it; required";
        "pressure" => Quantity(Pressure, Positive, Refused), "over the surrounding air when full; required";
        "reserve" => Quantity(Pressure, NotNegative, Refused), "the same at the end of a dive; 50 bar unless said";
    },
};

pub(super) static COMPARTMENT: TableKeys = TableKeys {
    title: "[[compartment]]",
    example: "",
    tells: "a space inside the hull that floods by itself; what they leave is the compartment \"inside\"",
    keys: keys! {
        "name" => Text("bow locker"), "its own name; required; `\"inside\"` speaks of what the others leave";
        "forward_of" => X, "a bulkhead across: the space forward of it";
        "aft_of" => X, "a bulkhead across: the space aft of it";
        "port_of" => Y, "a bulkhead along: the space to port of it";
        "starboard_of" => Y, "a bulkhead along: the space to starboard of it";
        "above" => Z, "a sole: the space above it";
        "below" => Z, "a deck: the space below it";
        "mesh" => Text("locker.stl"), "instead of bulkheads: its inner surface, a closed mesh";
        "units" => Choice(&UNIT_WORDS), "unit of the mesh's numbers";
        "permeability" => Share, "the share of it that water can fill, beside items with a volume of their own, so do not count them in it; what the skins leave unless said";
        "sealed" => Flag, "no opening leads in; it never floods";
        "free_flooding" => Flag, "whether it is full of water when the craft is dived; yes unless sealed";
        "flooded" => Flag, "open to the water outside now";
        "fill" => Quantity(Volume, NotNegative, Refused), "water in it now, loose";
    },
};
pub(super) static PASSAGE: TableKeys = TableKeys {
    title: "[[passage]]",
    example: "",
    tells: "a hole in a bulkhead between two compartments",
    keys: keys! {
        "name" => Text("limber hole"), "its own name; required";
        "between" => Own("the names of two compartments", "between = [\"bow locker\", \"inside\"]", &["array"]), "the two compartments that it joins; required";
        "at" => POINT, "its middle; required";
        "diameter" => Quantity(Length, Positive, Refused), "how wide it is, or";
        "area" => Quantity(Area, Positive, Refused), "how large";
        "discharge" => Share, "as of an opening";
    },
};

pub(super) static YARDSTICKS: TableKeys = TableKeys {
    title: "[yardsticks]",
    example: "[yardsticks] with sill_red = \"5 cm\" below",
    tells: "limits that margins are held to: under red it fails, over green it is clear (of what should be small: up to green it is clear, over red it fails). What is left out is our own starting band and has no source, but for the gap, which is borrowed",
    keys: keys! {
        "sill_red" => Quantity(Length, NotNegative, Refused), "height of the lowest open sill above the water at rest; 5 cm unless said";
        "sill_green" => Quantity(Length, NotNegative, Refused), "10 cm unless said";
        "sill_source" => Text("from the builder's handbook"), "who says so";
        "tilt_red" => Quantity(Angle, NotNegative, Allowed), "lean that brings the first open sill to the water; 5° unless said";
        "tilt_green" => Quantity(Angle, NotNegative, Allowed), "15° unless said";
        "tilt_source" => Text("from the builder's handbook"), "who says so";
        "energy_red" => Quantity(Energy, NotNegative, Refused), "work that brings the first open sill to the water; 15 J unless said";
        "energy_green" => Quantity(Energy, NotNegative, Refused), "50 J unless said";
        "energy_source" => Text("from the builder's handbook"), "who says so";
        "floats_swamped" => Flag, "whether it is asked to stay afloat with water inside; yes unless said";
        "floats_with_one_flooded" => Flag, "whether it is asked to stay afloat with any one space open to the water outside; yes unless said";
        "swamped_sill_red" => Quantity(Length, NotNegative, Refused), "with water inside: height of the lowest sill of what is still dry, of a craft wholly swamped of the rim; 0 cm unless said";
        "swamped_sill_green" => Quantity(Length, NotNegative, Refused), "5 cm unless said";
        "swamped_lean_green" => Quantity(Angle, NotNegative, Allowed), "with water inside: lean from upright, any way; 10° unless said";
        "swamped_lean_red" => Quantity(Angle, NotNegative, Allowed), "30° unless said";
        "swamped_source" => Text("our club"), "who says so of all that begin with swamped or floats";
        "gap_red" => Quantity(Length, NotNegative, Refused), "dived: height of CB over CG; 5 cm unless said";
        "gap_green" => Quantity(Length, NotNegative, Refused), "5 cm unless said";
        "gap_source" => Text("from the builder's handbook"), "who says so";
    },
};

/// Tape readings, which stand wherever a place may. Read before all else, by `taped`.
pub(crate) static TAPE: TableKeys = TableKeys {
    title: "a place, as at = { from_stem = \"1.2 m\", from_middle = 0, over_base = \"25 cm\" }",
    example: "at = { from_stem = \"1.2 m\", from_middle = 0, over_base = \"25 cm\" }",
    tells: "tape readings on the hull as loaded, without its parts",
    keys: keys! {
        tape::KEYS[0] => Quantity(Length, Any, Allowed), "along the boat, level, aft from the hull's foremost point, or";
        tape::KEYS[1] => Quantity(Length, Any, Allowed), "forward from its aftmost";
        tape::KEYS[2] => Own("a distance and a side, or 0", "from_middle = \"30 cm port\"", &["string", "number"]), "across, level, from the hull's centre plane: `\"30 cm port\"`, `\"30 cm starboard\"`, `0`; `\"port\"` alone is the outside of the skin there";
        tape::KEYS[3] => Quantity(Length, Any, Allowed), "straight up from the base line, level with the hull's lowest point, or";
        tape::KEYS[4] => Quantity(Length, Any, Allowed), "straight down from the hull's rim (its open edge, or the edge of its deck) on that side at that station; on the middle from half-way between both rims; over it with a minus";
        tape::KEYS[5] => Flag, "the tape follows the outside of the skin across the boat: `below_rim` with a side alone in `from_middle`, or the distance in `from_middle` from the keel up";
    },
};
