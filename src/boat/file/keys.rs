//! Every key of the boat file, in the order of its page: what it holds and what it means.
//! The readers take type, range and unit from here, the page and the JSON Schema all.
use super::{MeshUnits, OpeningState, Plug, Role, WaterGiven};
use crate::boat::fields::Bare::{Allowed, Refused};
use crate::boat::fields::Bound::{Any, NotNegative, Positive};
use crate::boat::fields::Holds::{
    Choice, Count, Flag, Own, Quantity, Share, Sizes, Table, Tables, Text,
};
use crate::boat::fields::{Holds, TableKeys, key, words_of};
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
    keys: &[
        key(
            "name",
            Text("Dipper"),
            "what the boat is called; its file's name unless said",
        ),
        key(
            "extends",
            Text("before.toml"),
            "starts from another file (`\"before.toml#name\"`: from its loading condition) and changes only what it names: lists by `name`, and `remove = true` beside a name drops that entry",
        ),
        key(
            "water",
            Table(&WATER),
            "the water it floats in; fresh unless said",
        ),
        key("hull", Table(&HULL), "the hull; required"),
        key(
            "part",
            Tables(&PART),
            "what is added to the hull or cut from it",
        ),
        key("opening", Tables(&OPENING), "where water can come in"),
        key("item", Tables(&ITEM), "what is carried"),
        key(
            "compartment",
            Tables(&COMPARTMENT),
            "spaces inside that flood each by itself",
        ),
        key("passage", Tables(&PASSAGE), "holes in bulkheads"),
        key(
            "condition",
            Own(
                "tables under [[condition]]",
                "[[condition]] with name = \"no ballast\" below",
                &["array"],
            ),
            "a loading condition: its `name`, and below it what changes, as `[[condition.item]]` or `[condition.water]`; asked for as `boat.toml#name`",
        ),
        key(
            "yardsticks",
            Table(&YARDSTICKS),
            "the limits that margins are held to",
        ),
    ],
};

pub(super) static WATER: TableKeys = TableKeys {
    title: "[water]",
    example: "[water] with kind = \"fresh\" below",
    tells: "the water it floats in, said one way of three",
    keys: &[
        key(
            "kind",
            Choice(&WATER_WORDS),
            "the trade's round water: fresh 1000 kg/m³ (unless said), sea 1025, pool",
        ),
        key(
            "salinity",
            Quantity(Salinity, Any, Allowed),
            "measured, with `temperature`; density by EOS-80",
        ),
        key(
            "temperature",
            Quantity(Temperature, Any, Allowed),
            "measured, with `salinity`",
        ),
        key("density", Quantity(Density, Any, Allowed), "measured"),
    ],
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
    keys: &[
        key(
            "mesh",
            Text("hull.stl"),
            "the hull's mesh, beside this file; required",
        ),
        key(
            "units",
            Choice(&UNIT_WORDS),
            "unit of the mesh's numbers; guessed, and doubted, unless said",
        ),
        key(
            "turn",
            Table(&TURN),
            "turns the mesh into the boat frame (x forward, y to port, z up): about x first, then y, then z, each axis fixed in space, right-handed",
        ),
        key(
            "scale_to",
            Table(&SCALE_TO),
            "scales the turned mesh until it is this long along x",
        ),
        key(
            "origin",
            POINT,
            "the point of the turned and scaled mesh that becomes 0, 0, 0",
        ),
        key(
            "mend",
            Table(&MEND),
            "how the raw scan `mesh` becomes the hull",
        ),
        key(
            "fill_under",
            Quantity(Length, NotNegative, Refused),
            "holes shorter round than this are scan defects and are mended; 60 mm unless said",
        ),
        key(
            "mass",
            Quantity(Mass, Positive, Allowed),
            "what the bare hull weighs",
        ),
        key(
            "centre",
            POINT,
            "where it balances; the middle of its skin, and told, where it is left out",
        ),
        key(
            "density",
            Quantity(Density, Positive, Allowed),
            "beside a mass: of its material, which gives its volume under water",
        ),
        key(
            "skin",
            Table(&SKIN),
            "instead of a mass: an even skin all over the mesh",
        ),
        key(
            "laminate",
            Table(&LAMINATE),
            "instead of a mass or a skin: so many layers of cloth",
        ),
        key(
            "area_share",
            Share,
            "beside a skin or laminate: the share of the mesh's area that the hull's averaged skin has, since a scan's roughness adds to it; `awash mend --boat` writes it",
        ),
        key(
            "scan_error",
            Quantity(Length, NotNegative, Refused),
            "how far the scanned surface may lie from the true one, all over at once, ±",
        ),
        key(
            "tilt_error",
            Table(&TILT_ERROR),
            "how far the frame found of a scan may be turned from the hull's own, ±; `awash mend --boat` writes it",
        ),
        key(
            "origin_error",
            Table(&ORIGIN_ERROR),
            "how far its origin may lie off, ±, likewise",
        ),
        key(
            "draught_marks",
            Table(&DRAUGHT_MARKS),
            "where along the hull draughts are read; its ends unless said",
        ),
        key(
            "measured",
            Table(&MEASURED),
            "beside a mass: what was measured of all aboard together, as `awash calibrate` writes it; a file that weighs the hull anew drops it",
        ),
    ],
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
    keys: &[
        key(
            "about_x",
            Quantity(Angle, Any, Allowed),
            "turn about x; none unless said",
        ),
        key(
            "about_y",
            Quantity(Angle, Any, Allowed),
            "turn about y, then",
        ),
        key(
            "about_z",
            Quantity(Angle, Any, Allowed),
            "turn about z, last",
        ),
    ],
};
static SCALE_TO: TableKeys = TableKeys {
    title: "`scale_to`",
    example: "scale_to = { length = \"3.4 m\" }",
    tells: "how long the hull is",
    keys: &[key(
        "length",
        Quantity(Length, Positive, Allowed),
        "its length along x; required",
    )],
};
static DRAUGHT_MARKS: TableKeys = TableKeys {
    title: "`draught_marks`",
    example: "draught_marks = { forward = 3.1, aft = 0.3 }",
    tells: "x at which draughts are read; both required",
    keys: &[
        key("forward", X, "x of the forward mark, more than `aft`"),
        key("aft", X, "x of the after mark"),
    ],
};
static TILT_ERROR: TableKeys = TableKeys {
    title: "`tilt_error`",
    example: "tilt_error = { heel = \"0.1 deg\", pitch = \"0.3 deg\" }",
    tells: "± of a scan's frame; both required",
    keys: &[
        key("heel", Quantity(Angle, NotNegative, Allowed), "± across"),
        key(
            "pitch",
            Quantity(Angle, NotNegative, Allowed),
            "± fore and aft",
        ),
    ],
};
static ORIGIN_ERROR: TableKeys = TableKeys {
    title: "`origin_error`",
    example: "origin_error = { x = \"1 mm\", y = \"0.2 mm\", z = \"0.5 mm\" }",
    tells: "± of a scan's origin; all required",
    keys: &[
        key("x", Quantity(Length, NotNegative, Refused), "± forward"),
        key("y", Quantity(Length, NotNegative, Refused), "± to port"),
        key("z", Quantity(Length, NotNegative, Refused), "± up"),
    ],
};

static MEND: TableKeys = TableKeys {
    title: "[hull.mend]",
    example: "[hull.mend] with upright = true below",
    tells: "how a raw scan becomes the hull, before `turn`, `scale_to` and `origin`, as `awash mend` prints it; each left out where it is not wanted",
    keys: &[
        key(
            "drop_floor",
            Flag,
            "cuts off the floor that the hull stood on",
        ),
        key("largest_only", Flag, "keeps only the largest piece"),
        key(
            "mirror",
            Own(
                "\"cut\", \"centre\" or the number of a flat part",
                "mirror = \"cut\"",
                &["string", "integer"],
            ),
            "makes the missing half: `\"cut\"` at the flat cut, `\"centre\"` at the middle, or the number of a flat part of the open edge as `awash inspect` numbers them",
        ),
        key("upright", Flag, "turns it deck up, bow forward, level"),
        key(
            "swap_ends",
            Flag,
            "beside `upright`: the other end is the bow",
        ),
        key(
            "upside_down",
            Flag,
            "beside `upright`: the other side is up",
        ),
        key(
            "rim_heights",
            Table(&RIM_HEIGHTS),
            "beside `upright`: how high the rim stands at each end, which levels it",
        ),
        key("crop", Table(&CROP), "keeps what lies between"),
        key("outer_skin", Flag, "keeps the outer of two skins"),
        key("smooth_rims", Flag, "smooths ragged rims"),
        key("fill", HOLES, "fills these holes too"),
        key("keep", HOLES, "leaves these holes open"),
        key("rebuild", Flag, "makes a closed surface round it all"),
    ],
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
    keys: &[
        key("bow", Quantity(Length, Any, Allowed), "at the bow"),
        key("stern", Quantity(Length, Any, Allowed), "at the stern"),
    ],
};
static CROP: TableKeys = TableKeys {
    title: "`crop`",
    example: "crop = { bottom = \"-1 cm\", aft = -0.1 }",
    tells: "coordinates between which the mesh is kept; no limit where one is left out",
    keys: &[
        key("aft", Quantity(Length, Any, Allowed), "least x"),
        key("forward", Quantity(Length, Any, Allowed), "greatest x"),
        key("starboard", Quantity(Length, Any, Allowed), "least y"),
        key("port", Quantity(Length, Any, Allowed), "greatest y"),
        key("bottom", Quantity(Length, Any, Allowed), "least z"),
        key("top", Quantity(Length, Any, Allowed), "greatest z"),
    ],
};
static MEASURED: TableKeys = TableKeys {
    title: "`measured`",
    example: super::measured::EXAMPLE,
    tells: "mass and centre of all aboard, known better than those of its things, so that the hull makes up the rest; all required",
    keys: &[
        key(
            "mass",
            Quantity(Mass, Positive, Allowed),
            "of all aboard, ±",
        ),
        key("centre", POINT, "of all aboard, ±"),
        key(
            "correlation",
            Own(
                "four rows of four numbers",
                super::measured::EXAMPLE,
                &["array"],
            ),
            "of mass, x, y, z in four rows of four",
        ),
        key(
            "aboard",
            Own(
                "a list of rows [name, mass, x, y, z]",
                super::measured::EXAMPLE,
                &["array"],
            ),
            "a row name, mass, x, y, z of each thing that had a ± then",
        ),
    ],
};

pub(super) static PART: TableKeys = TableKeys {
    title: "[[part]]",
    example: "",
    tells: "something added to the hull or taken out of it",
    keys: &[
        key(
            "name",
            Text("stern wall"),
            "its own name; required, but for a cover, which may go by what it covers",
        ),
        key(
            "role",
            Choice(&ROLE_WORDS),
            "whether the outer envelope grows by it, is cut out where it is and closed by new skin, carries it outside (it need not touch), or keeps its shape (a lid over an opening); required unless `covers` is given",
        ),
        key("mesh", Text("wall.stl"), "its shape: a closed mesh"),
        key("units", Choice(&UNIT_WORDS), "unit of the mesh's numbers"),
        key("box", Table(&BOX), "its shape: a box along the axes"),
        key("cylinder", Table(&CYLINDER), "its shape: a cylinder"),
        key(
            "outline",
            Table(&OUTLINE),
            "its shape: a ring of points drawn along an axis",
        ),
        key(
            "wall",
            Table(&WALL),
            "its shape: a thin wall that stands up",
        ),
        key(
            "at",
            POINT,
            "moves the shape; not where it is given by tape",
        ),
        key(
            "mass",
            Quantity(Mass, NotNegative, Allowed),
            "what it weighs; a part that says nothing of its weight counts as weightless, and that is told",
        ),
        key(
            "centre",
            POINT,
            "beside a mass: where it balances, moved by `at`; the middle of its volume unless said",
        ),
        key(
            "density",
            Quantity(Density, Positive, Allowed),
            "beside a mass: of its material, which gives its volume under water",
        ),
        key(
            "skin",
            Table(&SKIN),
            "instead of a mass: an even skin all over",
        ),
        key(
            "laminate",
            Table(&LAMINATE),
            "instead of a mass: so many layers of cloth",
        ),
        key("foam", Table(&FOAM), "instead of a mass: solid foam"),
        key(
            "covers",
            Text("cockpit"),
            "the opening that a cover closes; a cover needs no more than that and its `mass`, and lies on the rim then",
        ),
    ],
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
    keys: &[
        key("min", POINT, "its aftmost, most starboard, lowest corner"),
        key("max", POINT, "its foremost, most port, highest corner"),
        key("centre", POINT, "its middle"),
        key("size", Sizes, "its length, breadth and height"),
    ],
};
pub(super) static CYLINDER: TableKeys = TableKeys {
    title: "`cylinder`",
    example: "cylinder = { from = [1, 0, 0.1], to = [1, 0, 0.4], diameter = \"110 mm\" }",
    tells: "a cylinder of 256 sides, its section as large as the circle: a rim cut by it is off by 0.005 % of the radius at most",
    keys: &[
        key("from", POINT, "the middle of one end; required"),
        key("to", POINT, "the middle of the other; required"),
        key(
            "radius",
            Quantity(Length, Positive, Allowed),
            "its radius, or",
        ),
        key(
            "diameter",
            Quantity(Length, Positive, Allowed),
            "its diameter",
        ),
    ],
};
pub(super) static OUTLINE: TableKeys = TableKeys {
    title: "`outline`",
    example: "outline = { points = [[1.2, 0.2, 0], [1.6, 0.2, 0], [1.4, -0.1, 0]], along = \"z\", from = 0.2, to = 0.5 }",
    tells: "a ring of points drawn along an axis; all required",
    keys: &[
        key(
            "points",
            POINTS,
            "three or more, round the outline; their own coordinate along the axis does not count",
        ),
        key("along", Choice(&AXIS_WORDS), "the axis"),
        key(
            "from",
            Quantity(Length, Any, Allowed),
            "where it begins along the axis",
        ),
        key("to", Quantity(Length, Any, Allowed), "where it ends"),
    ],
};
pub(super) const AXES: [(&str, usize); 3] = [("x", 0), ("y", 1), ("z", 2)];
static AXIS_WORDS: [&str; 3] = words_of(&AXES);
pub(super) static WALL: TableKeys = TableKeys {
    title: "`wall`",
    example: "wall = { round = \"cockpit\", height = \"12 cm\" }",
    tells: "a thin wall of a laminate or skin: its mass is length × height, its thickness that of the layup",
    keys: &[
        key(
            "foot",
            POINTS,
            "the points that it stands on; let it reach a little into the hull",
        ),
        key(
            "closed",
            Flag,
            "the foot comes back to its first point, as a coaming does: the water is kept out of all that it encloses, and its top may be an opening's rim",
        ),
        key(
            "round",
            Text("cockpit"),
            "instead of a foot: the opening on whose rim it stands, an open edge of the hull (`loop`) or the top of another wall; its length is that of the outside of the rim in plan",
        ),
        key(
            "height",
            Quantity(Length, Positive, Allowed),
            "how high it stands; required",
        ),
    ],
};
pub(super) static SKIN: TableKeys = TableKeys {
    title: "`skin`",
    example: "skin = { thickness = \"5 mm\", density = \"955 kg/m3\" }",
    tells: "an even skin; both required",
    keys: &[
        key(
            "thickness",
            Quantity(Length, Positive, Refused),
            "how thick it is",
        ),
        key(
            "density",
            Quantity(Density, Positive, Allowed),
            "of its material",
        ),
    ],
};
pub(super) static LAMINATE: TableKeys = TableKeys {
    title: "`laminate`",
    example: "laminate = { cloth = \"200 g/m2\", layers = 3, resin = 1.0 }",
    tells: "so many layers of cloth with so much resin, over the surface (three layers of 200 g/m² with as much resin: 1.2 kg/m², 0.76 mm)",
    keys: &[
        key(
            "cloth",
            Quantity(ArealDensity, Positive, Refused),
            "what the dry cloth weighs for its area; required",
        ),
        key("layers", Count, "how many; required"),
        key(
            "resin",
            Quantity(Fraction, NotNegative, Allowed),
            "mass of resin to the cloth's; required",
        ),
        key(
            "fibre_density",
            Quantity(Density, Positive, Allowed),
            "of the fibres; of E-glass, 2540 kg/m³, unless said",
        ),
        key(
            "resin_density",
            Quantity(Density, Positive, Allowed),
            "of the resin; of epoxy, 1150 kg/m³, unless said",
        ),
    ],
};
pub(super) static FOAM: TableKeys = TableKeys {
    title: "`foam`",
    example: "foam = { density = \"32 kg/m3\" }",
    tells: "solid foam, its mass its volume times its density",
    keys: &[key(
        "density",
        Quantity(Density, Positive, Allowed),
        "of the foam; required",
    )],
};

pub(super) static OPENING: TableKeys = TableKeys {
    title: "[[opening]]",
    example: "",
    tells: "a hole in hollow skin: it sets a sill and changes no volume while the craft is dry",
    keys: &[
        key("name", Text("cockpit"), "its own name; required"),
        key(
            "loop",
            Count,
            "where it is: the open edge of the mesh of this number, the longest being 1",
        ),
        key(
            "rim",
            POINTS,
            "where it is: points of its edge by tape; they may stand beside any other way and win over it",
        ),
        key("box", Table(&BOX), "where it is: a cutter through the skin"),
        key("cylinder", Table(&CYLINDER), "the same, round"),
        key("outline", Table(&OUTLINE), "the same, drawn along an axis"),
        key("mesh", Text("cutter.stl"), "the same, a closed mesh"),
        key("units", Choice(&UNIT_WORDS), "unit of the mesh's numbers"),
        key(
            "wall",
            Text("coaming"),
            "where it is: the top of this closed wall",
        ),
        key(
            "state",
            Choice(&STATE_WORDS),
            "what it is at the moment; open unless said",
        ),
        key(
            "plug",
            Choice(&PLUG_WORDS),
            "of a drain: whether its plug is in; out, and told, unless said",
        ),
        key(
            "floods",
            Text("bow locker"),
            "the compartment that its water goes to; unless said each space that it lies over, through what of it lies there",
        ),
        key(
            "discharge",
            Share,
            "what really flows of area times √(2 g depth): 0.61, a sharp edge, unless said; 0.75 rounded, 0.80 a short tube; over a crest with air above 0.987 of it",
        ),
        key(
            "height_error",
            Quantity(Length, NotNegative, Refused),
            "how far the height of its rim may be off, ±; that of its points, or of a rim fitted to a scan, unless said",
        ),
    ],
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
    keys: &[
        key("name", Text("battery"), "its own name; required"),
        key(
            "mass",
            Quantity(Mass, Positive, Allowed),
            "what it weighs; required",
        ),
        key("at", POINT, "its centre of gravity; required"),
        key(
            "volume",
            Quantity(Volume, Positive, Allowed),
            "what it displaces when wet, or",
        ),
        key(
            "density",
            Quantity(Density, Positive, Allowed),
            "its density",
        ),
        key(
            "size",
            Sizes,
            "the box about `at` that its volume is spread over: what of it stands outside the hull displaces while under water; a cube of that volume unless said (ours)",
        ),
        key("sealed", Flag, "no water gets in"),
        key(
            "compartment",
            Text("bow locker"),
            "the compartment in which it takes room; the one that it lies in unless said",
        ),
        key(
            "liquid",
            Table(&LIQUID),
            "what moves in a tank whose inside is its `size`; its `mass` is the tank without it",
        ),
        key("volume_at", POINT, "middle of its volume; `at` unless said"),
        key(
            "cylinder",
            Table(&AIR),
            "compressed air; `mass` is then the empty cylinder's, and the air's is added",
        ),
        key(
            "gas_volume",
            Quantity(Volume, Positive, Refused),
            "how much of `volume` is gas in a soft skin, as in foam neoprene: it shrinks with depth",
        ),
        key(
            "stiffness",
            Quantity(Pressure, Positive, Refused),
            "of foam: pressure over the share of volume that it takes away; rigid unless said",
        ),
        key(
            "person",
            Flag,
            "someone aboard, a diver too: never guessed from a mass, and without a volume of the water's density ± 3 % (ours)",
        ),
        key(
            "head",
            Quantity(Length, Positive, Allowed),
            "of a person: how high the top of the head is over `at`; 0.65 m unless said",
        ),
    ],
};
pub(super) static LIQUID: TableKeys = TableKeys {
    title: "`liquid`",
    example: "liquid = { volume = \"8 L\", density = \"740 kg/m3\" }",
    tells: "what moves in a tank",
    keys: &[
        key(
            "volume",
            Quantity(Volume, Positive, Refused),
            "how much is in it, no more than its `size` holds; required",
        ),
        key(
            "density",
            Quantity(Density, Positive, Allowed),
            "of the liquid; 1000 kg/m³ unless said",
        ),
    ],
};
pub(super) static AIR: TableKeys = TableKeys {
    title: "`cylinder` of an item",
    example: "cylinder = { water_volume = \"11.1 L\", pressure = \"207 bar\", reserve = \"50 bar\" }",
    tells: "a cylinder of compressed air",
    keys: &[
        key(
            "water_volume",
            Quantity(Volume, Positive, Refused),
            "space inside, as stamped on it; required",
        ),
        key(
            "pressure",
            Quantity(Pressure, Positive, Refused),
            "over the surrounding air when full; required",
        ),
        key(
            "reserve",
            Quantity(Pressure, NotNegative, Refused),
            "the same at the end of a dive; 50 bar unless said",
        ),
    ],
};

pub(super) static COMPARTMENT: TableKeys = TableKeys {
    title: "[[compartment]]",
    example: "",
    tells: "a space inside the hull that floods by itself; what they leave is the compartment \"inside\"",
    keys: &[
        key(
            "name",
            Text("bow locker"),
            "its own name; required; `\"inside\"` speaks of what the others leave",
        ),
        key(
            "forward_of",
            X,
            "a bulkhead across: the space forward of it",
        ),
        key("aft_of", X, "a bulkhead across: the space aft of it"),
        key("port_of", Y, "a bulkhead along: the space to port of it"),
        key(
            "starboard_of",
            Y,
            "a bulkhead along: the space to starboard of it",
        ),
        key("above", Z, "a sole: the space above it"),
        key("below", Z, "a deck: the space below it"),
        key(
            "mesh",
            Text("locker.stl"),
            "instead of bulkheads: its inner surface, a closed mesh",
        ),
        key("units", Choice(&UNIT_WORDS), "unit of the mesh's numbers"),
        key(
            "permeability",
            Share,
            "the share of it that water can fill, beside items with a volume of their own, so do not count them in it; what the skins leave unless said",
        ),
        key("sealed", Flag, "no opening leads in; it never floods"),
        key(
            "free_flooding",
            Flag,
            "whether it is full of water when the craft is dived; yes unless sealed",
        ),
        key("flooded", Flag, "open to the water outside now"),
        key(
            "fill",
            Quantity(Volume, NotNegative, Refused),
            "water in it now, loose",
        ),
    ],
};
pub(super) static PASSAGE: TableKeys = TableKeys {
    title: "[[passage]]",
    example: "",
    tells: "a hole in a bulkhead between two compartments",
    keys: &[
        key("name", Text("limber hole"), "its own name; required"),
        key(
            "between",
            Own(
                "the names of two compartments",
                "between = [\"bow locker\", \"inside\"]",
                &["array"],
            ),
            "the two compartments that it joins; required",
        ),
        key("at", POINT, "its middle; required"),
        key(
            "diameter",
            Quantity(Length, Positive, Refused),
            "how wide it is, or",
        ),
        key("area", Quantity(Area, Positive, Refused), "how large"),
        key("discharge", Share, "as of an opening"),
    ],
};

pub(super) static YARDSTICKS: TableKeys = TableKeys {
    title: "[yardsticks]",
    example: "[yardsticks] with sill_red = \"5 cm\" below",
    tells: "limits that margins are held to: under red it fails, over green it is clear (of what should be small: up to green it is clear, over red it fails). What is left out is our own starting band and has no source, but for the gap, which is borrowed",
    keys: &[
        key(
            "sill_red",
            Quantity(Length, NotNegative, Refused),
            "height of the lowest open sill above the water at rest; 5 cm unless said",
        ),
        key(
            "sill_green",
            Quantity(Length, NotNegative, Refused),
            "10 cm unless said",
        ),
        key(
            "sill_source",
            Text("from the builder's handbook"),
            "who says so",
        ),
        key(
            "tilt_red",
            Quantity(Angle, NotNegative, Allowed),
            "lean that brings the first open sill to the water; 5° unless said",
        ),
        key(
            "tilt_green",
            Quantity(Angle, NotNegative, Allowed),
            "15° unless said",
        ),
        key(
            "tilt_source",
            Text("from the builder's handbook"),
            "who says so",
        ),
        key(
            "energy_red",
            Quantity(Energy, NotNegative, Refused),
            "work that brings the first open sill to the water; 15 J unless said",
        ),
        key(
            "energy_green",
            Quantity(Energy, NotNegative, Refused),
            "50 J unless said",
        ),
        key(
            "energy_source",
            Text("from the builder's handbook"),
            "who says so",
        ),
        key(
            "floats_swamped",
            Flag,
            "whether it is asked to stay afloat with water inside; yes unless said",
        ),
        key(
            "floats_with_one_flooded",
            Flag,
            "whether it is asked to stay afloat with any one space open to the water outside; yes unless said",
        ),
        key(
            "swamped_sill_red",
            Quantity(Length, NotNegative, Refused),
            "with water inside: height of the lowest sill of what is still dry, of a craft wholly swamped of the rim; 0 cm unless said",
        ),
        key(
            "swamped_sill_green",
            Quantity(Length, NotNegative, Refused),
            "5 cm unless said",
        ),
        key(
            "swamped_lean_green",
            Quantity(Angle, NotNegative, Allowed),
            "with water inside: lean from upright, any way; 10° unless said",
        ),
        key(
            "swamped_lean_red",
            Quantity(Angle, NotNegative, Allowed),
            "30° unless said",
        ),
        key(
            "swamped_source",
            Text("our club"),
            "who says so of all that begin with swamped or floats",
        ),
        key(
            "gap_red",
            Quantity(Length, NotNegative, Refused),
            "dived: height of CB over CG; 5 cm unless said",
        ),
        key(
            "gap_green",
            Quantity(Length, NotNegative, Refused),
            "5 cm unless said",
        ),
        key(
            "gap_source",
            Text("from the builder's handbook"),
            "who says so",
        ),
    ],
};

/// Tape readings, which stand wherever a place may. Read before all else, by `taped`.
pub(super) static TAPE: TableKeys = TableKeys {
    title: "a place, as at = { from_stem = \"1.2 m\", from_middle = 0, over_base = \"25 cm\" }",
    example: "at = { from_stem = \"1.2 m\", from_middle = 0, over_base = \"25 cm\" }",
    tells: "tape readings on the hull as loaded, without its parts",
    keys: &[
        key(
            tape::KEYS[0],
            Quantity(Length, Any, Allowed),
            "along the boat, level, aft from the hull's foremost point, or",
        ),
        key(
            tape::KEYS[1],
            Quantity(Length, Any, Allowed),
            "forward from its aftmost",
        ),
        key(
            tape::KEYS[2],
            Own(
                "a distance and a side, or 0",
                "from_middle = \"30 cm port\"",
                &["string", "number"],
            ),
            "across, level, from the hull's centre plane: `\"30 cm port\"`, `\"30 cm starboard\"`, `0`; `\"port\"` alone is the outside of the skin there",
        ),
        key(
            tape::KEYS[3],
            Quantity(Length, Any, Allowed),
            "straight up from the base line, level with the hull's lowest point, or",
        ),
        key(
            tape::KEYS[4],
            Quantity(Length, Any, Allowed),
            "straight down from the hull's rim (its open edge, or the edge of its deck) on that side at that station; on the middle from half-way between both rims; over it with a minus",
        ),
        key(
            tape::KEYS[5],
            Flag,
            "the tape follows the outside of the skin across the boat: `below_rim` with a side alone in `from_middle`, or the distance in `from_middle` from the keel up",
        ),
    ],
};
