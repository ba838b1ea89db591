//! From the merged tree to the plain data of [`BoatFile`].
use std::sync::Arc;

use super::inside;
use super::item;
use super::item_gas;
use super::layup;
use super::limits;
use super::measured;
use super::mend;
use super::part;
use super::shapes::{self, metres};
use super::{
    BoatFile, DraughtMarks, Hull, MadeHull, Mark, Opening, OpeningState, Plug, Turn, WaterGiven,
    Weight,
};
use crate::boat::Lie;
use crate::boat::fields::{Bare, Bound, Fields, TableKeys, Way};
use crate::boat::place::Place;
use crate::boat::problem::{Fault, Problem};
use crate::boat::tape;
use crate::boat::tree::{Loaded, Table};
use crate::mesh::{Prepared, TiltError};
use crate::quantity::{Dimension, Quantity};
use crate::water::{Water, WaterError};

static TOP: TableKeys = TableKeys {
    title: "the boat file",
    keys: &[
        "extends",
        "name",
        "water",
        "hull",
        "part",
        "opening",
        "item",
        "compartment",
        "passage",
        "yardsticks",
        "condition",
    ],
};
static WATER: TableKeys = TableKeys {
    title: "[water]",
    keys: &["kind", "salinity", "temperature", "density"],
};
static HULL: TableKeys = TableKeys {
    title: "[hull]",
    keys: &[
        "mesh",
        "units",
        "scale_to",
        "turn",
        "origin",
        "mass",
        "centre",
        "density",
        "skin",
        "laminate",
        "fill_under",
        "draught_marks",
        "mend",
        "scan_error",
        "tilt_error",
        "origin_error",
        "area_share",
        "measured",
    ],
};
static SCALE_TO: TableKeys = TableKeys {
    title: "`scale_to`",
    keys: &["length"],
};
static TURN: TableKeys = TableKeys {
    title: "`turn`",
    keys: &["about_x", "about_y", "about_z"],
};
static DRAUGHT_MARKS: TableKeys = TableKeys {
    title: "`draught_marks`",
    keys: &["forward", "aft"],
};
static TILT_ERROR: TableKeys = TableKeys {
    title: "`tilt_error`",
    keys: &["heel", "pitch"],
};
static ORIGIN_ERROR: TableKeys = TableKeys {
    title: "`origin_error`",
    keys: &["x", "y", "z"],
};
static OPENING: TableKeys = TableKeys {
    title: "[[opening]]",
    keys: &[
        "name",
        "rim",
        "box",
        "cylinder",
        "outline",
        "mesh",
        "units",
        "loop",
        "wall",
        "state",
        "plug",
        "floods",
        "discharge",
        "height_error",
    ],
};
/// Read before all else, by `taped`; here to say where such a key belongs.
static TAPE: TableKeys = TableKeys {
    title: "a place, as at = { from_stem = \"1.2 m\", from_middle = 0, over_base = \"25 cm\" }",
    keys: &tape::KEYS,
};
/// Every table, to say where a misplaced key belongs.
pub(super) static ALL_TABLES: &[&TableKeys] = &[
    &TOP,
    &WATER,
    &HULL,
    &part::PART,
    &OPENING,
    &item::ITEM,
    &inside::COMPARTMENT,
    &inside::PASSAGE,
    &inside::LIQUID,
    &limits::YARDSTICKS,
    &shapes::SKIN,
    &shapes::BOX,
    &shapes::CYLINDER,
    &SCALE_TO,
    &measured::MEASURED,
    &TURN,
    &DRAUGHT_MARKS,
    &TILT_ERROR,
    &ORIGIN_ERROR,
    &layup::LAMINATE,
    &layup::FOAM,
    &layup::OUTLINE,
    &layup::WALL,
    &mend::MEND,
    &mend::RIM_HEIGHTS,
    &mend::CROP,
    &item_gas::AIR,
    &TAPE,
];

/// Reads the merged tree; nothing when the hull or an entry could not be read,
/// and then `problems` says why.
/// `made` is the hull that tape readings were held to.
pub(super) fn boat(
    loaded: &Loaded,
    made: Option<Arc<(Prepared, Lie)>>,
    problems: &mut Vec<Problem>,
) -> Option<BoatFile> {
    let mut top = Fields::new(
        &loaded.root,
        &loaded.place,
        TOP.title.into(),
        &TOP,
        problems,
    );
    let name = top.text("name", "name = \"Dipper\"").map(str::to_owned);
    let mut place_of = |key| top.node(key).map(|node| node.place.clone());
    let [water_place, yardsticks_place] = ["water", "yardsticks"].map(&mut place_of);
    let water = water(&mut top);
    let hull = hull(&mut top);
    let parts = entries(&mut top, "part", &part::PART, part::part);
    let openings = entries(&mut top, "opening", &OPENING, opening);
    let items = entries(&mut top, "item", &item::ITEM, item::item);
    let keys = &inside::COMPARTMENT;
    let compartments = entries(&mut top, "compartment", keys, inside::compartment);
    let passages = entries(&mut top, "passage", &inside::PASSAGE, inside::passage);
    let yardsticks = limits::yardsticks(&mut top);
    top.finish(ALL_TABLES);
    inside::check_names(&compartments, &passages, &openings, &items, problems);
    let (water_given, water) = water?;
    Some(BoatFile {
        files: loaded.files.clone(),
        from: Arc::clone(&loaded.from),
        name,
        water,
        water_given,
        water_place,
        hull: Hull {
            made: MadeHull(made),
            ..hull?
        },
        parts,
        openings,
        items,
        compartments,
        passages,
        yardsticks,
        yardsticks_place,
        conditions: Vec::new(),
    })
}

/// Reads every table of `[[key]]`. Those with problems are left out, the
/// problems remain.
fn entries<T>(
    top: &mut Fields<'_, '_>,
    key: &'static str,
    keys: &'static TableKeys,
    read: fn(&mut Fields<'_, '_>) -> Option<T>,
) -> Vec<T> {
    let tables: Vec<(&Table, &Place)> = top.tables(key);
    tables
        .into_iter()
        .filter_map(|(table, place)| {
            let mut fields = top.entry(table, place, keys);
            let entry = read(&mut fields);
            fields.finish(ALL_TABLES);
            entry
        })
        .collect()
}

fn water(top: &mut Fields<'_, '_>) -> Option<(WaterGiven, Water)> {
    let fresh = (WaterGiven::Fresh, Water::fresh());
    if !top.has("water") {
        return Some(fresh);
    }
    let mut fields = top.section("water", &WATER, "[water] with kind = \"fresh\" below")?;
    let ways: &[&[&str]] = &[&["kind"], &["salinity", "temperature"], &["density"]];
    let water = match fields.one_way(ways) {
        Way::None => Some(fresh),
        Way::Several => None,
        Way::One(0) => fields
            .choice(
                "kind",
                &[
                    ("fresh", WaterGiven::Fresh),
                    ("sea", WaterGiven::Sea),
                    ("pool", WaterGiven::Pool),
                ],
            )
            .map(|kind| match kind {
                WaterGiven::Sea => (kind, Water::sea()),
                WaterGiven::Pool => (kind, Water::pool()),
                _ => (kind, Water::fresh()),
            }),
        Way::One(1) => {
            let salinity = number(&mut fields, "salinity", Dimension::Salinity);
            let temperature = number(&mut fields, "temperature", Dimension::Temperature);
            salinity
                .zip(temperature)
                .and_then(|(salinity, temperature)| {
                    let water = Water::from_salinity(salinity.value, temperature.value);
                    let given = WaterGiven::Measured {
                        salinity,
                        temperature,
                    };
                    Some((given, checked(&mut fields, water)?))
                })
        }
        Way::One(_) => number(&mut fields, "density", Dimension::Density).and_then(|density| {
            let water = Water::from_density(density.value);
            Some((WaterGiven::Density(density), checked(&mut fields, water)?))
        }),
    };
    fields.finish(ALL_TABLES);
    water
}

fn number(
    fields: &mut Fields<'_, '_>,
    key: &'static str,
    dimension: Dimension,
) -> Option<Quantity> {
    fields.required_quantity(key, dimension, Bound::Any, Bare::Allowed)
}

/// Notes why there is no such water.
fn checked(fields: &mut Fields<'_, '_>, water: Result<Water, WaterError>) -> Option<Water> {
    let cause = match water {
        Ok(water) => return Some(water),
        Err(cause) => cause,
    };
    let key = match cause {
        WaterError::Salinity { .. } => "salinity",
        WaterError::Temperature { .. } => "temperature",
        WaterError::Density { .. } => "density",
    };
    if let Some(node) = fields.node(key) {
        let owner = fields.owner().to_owned();
        let key = key.into();
        fields.note(Problem::new(
            &node.place,
            Fault::Water { key, owner, cause },
        ));
    }
    None
}

fn hull(top: &mut Fields<'_, '_>) -> Option<Hull> {
    if !top.has("hull") {
        top.missing(&["hull"], "[hull] with mesh = \"hull.stl\" below");
        return None;
    }
    let mut fields = top.section("hull", &HULL, "[hull] with mesh = \"hull.stl\" below")?;
    let shape = shape_of(&mut fields);
    let weight = shapes::weight(&mut fields, true);
    let draught_marks = draught_marks(&mut fields);
    let scan_error = fields.quantity(
        "scan_error",
        Dimension::Length,
        Bound::NotNegative,
        Bare::Refused,
    );
    let tilt_error = tilt_error(&mut fields);
    let origin_error = origin_error(&mut fields);
    let area_share = inside::share_of_one(&mut fields, "area_share");
    let measured = measured::measured(&mut fields);
    fields.finish(ALL_TABLES);
    Some(Hull {
        weight: weight?,
        draught_marks,
        measured,
        scan_error,
        tilt_error,
        origin_error,
        area_share,
        ..shape?
    })
}

/// What makes the hull's shape of its mesh, for tape readings; `None` where that cannot
/// be read, which reading the whole file tells.
pub(super) fn hull_shape(loaded: &Loaded) -> Option<Hull> {
    let mut problems = Vec::new();
    let title = TOP.title.into();
    let mut top = Fields::new(&loaded.root, &loaded.place, title, &TOP, &mut problems);
    let shape = shape_of(&mut top.section("hull", &HULL, "")?);
    shape.filter(|_| problems.is_empty())
}

/// A hull without its weight and marks.
fn shape_of(fields: &mut Fields<'_, '_>) -> Option<Hull> {
    let mesh = shapes::mesh(fields);
    let units = shapes::units(fields);
    let turn = turn(fields);
    let scale_to_length = scale_to(fields);
    let origin = fields.triple("origin", Bound::Any);
    let fill_under = fields.quantity(
        "fill_under",
        Dimension::Length,
        Bound::NotNegative,
        Bare::Refused,
    );
    let mend = mend::mend(fields, fill_under.as_ref());
    let (mesh, mesh_place) = mesh?;
    Some(Hull {
        mesh,
        units,
        turn,
        scale_to_length,
        origin,
        weight: Weight::Unknown,
        fill_under,
        draught_marks: None,
        mend,
        measured: None,
        scan_error: None,
        tilt_error: None,
        origin_error: None,
        area_share: None,
        place: fields.place().clone(),
        mesh_place,
        made: MadeHull::default(),
    })
}

fn scale_to(hull: &mut Fields<'_, '_>) -> Option<Quantity> {
    let mut fields = hull.table("scale_to", &SCALE_TO, "scale_to = { length = \"3.4 m\" }")?;
    let length =
        fields.required_quantity("length", Dimension::Length, Bound::Positive, Bare::Allowed);
    fields.finish(ALL_TABLES);
    length
}

fn turn(hull: &mut Fields<'_, '_>) -> Option<Turn> {
    let example = "turn = { about_z = \"180 deg\" }";
    let mut fields = hull.table("turn", &TURN, example)?;
    if !TURN.keys.iter().any(|key| fields.has(key)) {
        fields.missing(
            TURN.keys,
            "about_x, about_y or about_z, for example about_z = 180",
        );
    }
    let [about_x, about_y, about_z] = ["about_x", "about_y", "about_z"].map(|key| {
        fields
            .quantity(key, Dimension::Angle, Bound::Any, Bare::Allowed)
            .unwrap_or(Quantity::exact(0.0))
    });
    fields.finish(ALL_TABLES);
    Some(Turn {
        about_x,
        about_y,
        about_z,
    })
}

fn draught_marks(hull: &mut Fields<'_, '_>) -> Option<DraughtMarks> {
    let example = "draught_marks = { forward = 3.1, aft = 0.3 }";
    let mut fields = hull.table("draught_marks", &DRAUGHT_MARKS, example)?;
    let [forward, aft] = ["forward", "aft"]
        .map(|key| fields.required_quantity(key, Dimension::Length, Bound::Any, Bare::Allowed));
    let marks = forward.zip(aft).filter(|(forward, aft)| {
        let in_order = forward.value > aft.value;
        if !in_order && let Some(node) = fields.node("forward") {
            let rule = format!("more than `aft`, {}", metres(aft));
            let help = "x grows towards the bow";
            fields.out_of_range("forward", node, metres(forward), &rule, help);
        }
        in_order
    });
    fields.finish(ALL_TABLES);
    marks.map(|(forward, aft)| DraughtMarks { forward, aft })
}

fn tilt_error(hull: &mut Fields<'_, '_>) -> Option<TiltError> {
    let example = "tilt_error = { heel = \"0.1 deg\", pitch = \"0.3 deg\" }";
    let mut fields = hull.table("tilt_error", &TILT_ERROR, example)?;
    let [heel, pitch] = ["heel", "pitch"].map(|key| {
        fields.required_quantity(key, Dimension::Angle, Bound::NotNegative, Bare::Allowed)
    });
    fields.finish(ALL_TABLES);
    Some(TiltError {
        heel_deg: heel?.value,
        pitch_deg: pitch?.value,
        ..TiltError::default()
    })
}

fn origin_error(hull: &mut Fields<'_, '_>) -> Option<[Quantity; 3]> {
    let example = "origin_error = { x = \"1 mm\", y = \"0.2 mm\", z = \"0.5 mm\" }";
    let mut fields = hull.table("origin_error", &ORIGIN_ERROR, example)?;
    let [x, y, z] = ["x", "y", "z"].map(|key| {
        fields.required_quantity(key, Dimension::Length, Bound::NotNegative, Bare::Refused)
    });
    fields.finish(ALL_TABLES);
    Some([x?, y?, z?])
}

fn opening(fields: &mut Fields<'_, '_>) -> Option<Opening> {
    let name = fields
        .required_text("name", "name = \"cockpit\"")
        .map(str::to_owned);
    let ways: &[&[&str]] = &[
        &["mesh"],
        &["box"],
        &["cylinder"],
        &["outline"],
        &["wall"],
        &["loop"],
    ];
    fields.drop_outdated("units", &ways[1..]);
    // A rim by tape stands beside the mark and wins over it, unless the mark
    // is of a file nearer to the user.
    let outdated = fields.is_outdated("rim", ways);
    let rim = fields.points("rim").filter(|_| !outdated);
    let mark = match fields.one_way(ways) {
        Way::None => {
            if !fields.has("rim") {
                let example =
                    "where it is, for example rim = [[1.2, 0.3, 0.25], [1.2, -0.3, 0.25]]";
                let keys = ["rim", "box", "cylinder", "outline", "mesh", "wall", "loop"];
                fields.missing(&keys, example);
            }
            None
        }
        Way::Several => None,
        Way::One(0) => shapes::mesh(fields).map(|(path, _)| Mark::Mesh {
            path,
            units: shapes::units(fields),
        }),
        Way::One(1) => shapes::box_shape(fields).map(Mark::Box),
        Way::One(2) => shapes::cylinder(fields).map(Mark::Cylinder),
        Way::One(3) => layup::outline(fields).map(Mark::Outline),
        Way::One(4) => fields
            .text("wall", "wall = \"coaming\"")
            .map(|name| Mark::Wall(name.to_owned())),
        Way::One(_) => fields.count("loop").map(Mark::Loop),
    };
    if rim.is_none() && mark.is_none() {
        return None;
    }
    let state = fields.choice(
        "state",
        &[
            ("open", OpeningState::Open),
            ("covered", OpeningState::Covered),
            ("drain", OpeningState::Drain),
            ("vent", OpeningState::Vent),
        ],
    );
    let plug = fields.choice("plug", &[("in", Plug::In), ("out", Plug::Out)]);
    if plug.is_some() && state != Some(OpeningState::Drain) {
        let help = "only a drain has a plug: add state = \"drain\"";
        fields.misplaced("plug", "on another opening", "on a drain", help);
    }
    // A plug that is in closes its drain like a cover.
    let state = match plug {
        Some(Plug::In) => Some(OpeningState::Covered),
        _ => state,
    };
    let floods = fields
        .text("floods", "floods = \"bow locker\"")
        .map(str::to_owned);
    let height_error = fields.quantity(
        "height_error",
        Dimension::Length,
        Bound::NotNegative,
        Bare::Refused,
    );
    Some(Opening {
        name: name?,
        rim,
        mark,
        state: state.unwrap_or(OpeningState::Open),
        plug,
        floods,
        discharge: inside::discharge(fields),
        height_error,
        place: fields.place().clone(),
    })
}
