//! From the merged tree to the plain data of [`BoatFile`].
use std::sync::Arc;

use super::inside;
use super::item;
use super::keys::{HULL, PLUGS, STATES, TOP, TURN, WATERS};
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
use crate::boat::fields::{Fields, Way};
use crate::boat::problem::{Fault, Problem};
use crate::boat::tree::Loaded;
use crate::mesh::{Prepared, TiltError};
use crate::quantity::Quantity;
use crate::water::{Water, WaterError};

/// Reads the merged tree; nothing when the hull or an entry could not be read,
/// and then `problems` says why.
/// `made` is the hull that tape readings were held to.
pub(super) fn boat(
    loaded: &Loaded,
    made: Option<Arc<(Prepared, Lie)>>,
    problems: &mut Vec<Problem>,
) -> Option<BoatFile> {
    let mut top = Fields::of_file(&loaded.root, &loaded.place, &TOP, problems);
    let name = top.text("name").map(str::to_owned);
    let mut place_of = |key| top.node(key).map(|node| node.place.clone());
    let [water_place, yardsticks_place] = ["water", "yardsticks"].map(&mut place_of);
    let water = water(&mut top);
    let hull = hull(&mut top);
    let parts = top.entries("part", part::part);
    let openings = top.entries("opening", opening);
    let items = top.entries("item", item::item);
    let mut compartments = top.entries("compartment", inside::compartment);
    let passages = top.entries("passage", inside::passage);
    let yardsticks = limits::yardsticks(&mut top);
    top.finish();
    inside::add_built(&parts, &mut compartments, problems);
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

fn water(top: &mut Fields<'_, '_>) -> Option<(WaterGiven, Water)> {
    let fresh = (WaterGiven::Fresh, Water::fresh());
    if !top.has("water") {
        return Some(fresh);
    }
    let mut fields = top.table("water")?;
    let ways: &[&[&str]] = &[&["kind"], &["salinity", "temperature"], &["density"]];
    let water = match fields.one_way(ways) {
        Way::None => Some(fresh),
        Way::Several => None,
        Way::One(0) => fields.choice("kind", &WATERS).map(|kind| match kind {
            WaterGiven::Sea => (kind, Water::sea()),
            WaterGiven::Pool => (kind, Water::pool()),
            _ => (kind, Water::fresh()),
        }),
        Way::One(1) => {
            let salinity = fields.required_quantity("salinity");
            let temperature = fields.required_quantity("temperature");
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
        Way::One(_) => fields.required_quantity("density").and_then(|density| {
            let water = Water::from_density(density.value);
            Some((WaterGiven::Density(density), checked(&mut fields, water)?))
        }),
    };
    fields.finish();
    water
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
        top.missing(&["hull"], HULL.example);
        return None;
    }
    let mut fields = top.table("hull")?;
    let shape = shape_of(&mut fields);
    let weight = shapes::weight(&mut fields, true);
    let draught_marks = draught_marks(&mut fields);
    let scan_error = fields.quantity("scan_error");
    let tilt_error = tilt_error(&mut fields);
    let origin_error = origin_error(&mut fields);
    let area_share = fields.quantity("area_share");
    let measured = measured::measured(&mut fields);
    fields.finish();
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
    let mut top = Fields::of_file(&loaded.root, &loaded.place, &TOP, &mut problems);
    let shape = shape_of(&mut top.table("hull")?);
    shape.filter(|_| problems.is_empty())
}

/// A hull without its weight and marks.
fn shape_of(fields: &mut Fields<'_, '_>) -> Option<Hull> {
    let mesh = shapes::mesh(fields);
    let units = shapes::units(fields);
    let turn = turn(fields);
    let scale_to_length = scale_to(fields);
    let origin = fields.triple("origin");
    let fill_under = fields.quantity("fill_under");
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
    let mut fields = hull.table("scale_to")?;
    let length = fields.required_quantity("length");
    fields.finish();
    length
}

fn turn(hull: &mut Fields<'_, '_>) -> Option<Turn> {
    let mut fields = hull.table("turn")?;
    let about: Vec<&'static str> = TURN.names().collect();
    if !about.iter().any(|key| fields.has(key)) {
        fields.missing(
            &about,
            "about_x, about_y or about_z, for example about_z = 180",
        );
    }
    let [about_x, about_y, about_z] = ["about_x", "about_y", "about_z"]
        .map(|key| fields.quantity(key).unwrap_or(Quantity::exact(0.0)));
    fields.finish();
    Some(Turn {
        about_x,
        about_y,
        about_z,
    })
}

fn draught_marks(hull: &mut Fields<'_, '_>) -> Option<DraughtMarks> {
    let mut fields = hull.table("draught_marks")?;
    let [forward, aft] = ["forward", "aft"].map(|key| fields.required_quantity(key));
    let marks = forward.zip(aft).filter(|(forward, aft)| {
        let in_order = forward.value > aft.value;
        if !in_order && let Some(node) = fields.node("forward") {
            let rule = format!("more than `aft`, {}", metres(aft));
            let help = "x grows towards the bow";
            fields.out_of_range("forward", node, metres(forward), &rule, help);
        }
        in_order
    });
    fields.finish();
    marks.map(|(forward, aft)| DraughtMarks { forward, aft })
}

fn tilt_error(hull: &mut Fields<'_, '_>) -> Option<TiltError> {
    let mut fields = hull.table("tilt_error")?;
    let [heel, pitch] = ["heel", "pitch"].map(|key| fields.required_quantity(key));
    fields.finish();
    Some(TiltError {
        heel_deg: heel?.value,
        pitch_deg: pitch?.value,
        ..TiltError::default()
    })
}

fn origin_error(hull: &mut Fields<'_, '_>) -> Option<[Quantity; 3]> {
    let mut fields = hull.table("origin_error")?;
    let [x, y, z] = ["x", "y", "z"].map(|key| fields.required_quantity(key));
    fields.finish();
    Some([x?, y?, z?])
}

fn opening(fields: &mut Fields<'_, '_>) -> Option<Opening> {
    let name = fields.required_text("name").map(str::to_owned);
    let ways: &[&[&str]] = &[
        &["mesh"],
        &["box"],
        &["cylinder"],
        &["outline"],
        &["wall"],
        &["circle"],
        &["rectangle"],
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
                let keys = [
                    "rim",
                    "circle",
                    "rectangle",
                    "box",
                    "cylinder",
                    "outline",
                    "mesh",
                    "wall",
                    "loop",
                ];
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
        Way::One(4) => fields.text("wall").map(|name| Mark::Wall(name.to_owned())),
        Way::One(5) => shapes::circle(fields).map(Mark::OnSkin),
        Way::One(6) => shapes::rectangle(fields).map(Mark::OnSkin),
        Way::One(_) => fields.count("loop").map(Mark::Loop),
    };
    if rim.is_none() && mark.is_none() {
        return None;
    }
    let state = fields.choice("state", &STATES);
    let plug = fields.choice("plug", &PLUGS);
    if plug.is_some() && state != Some(OpeningState::Drain) {
        let help = "only a drain has a plug: add state = \"drain\"";
        fields.misplaced("plug", "on another opening", "on a drain", help);
    }
    // A plug that is in closes its drain like a cover.
    let state = match plug {
        Some(Plug::In) => Some(OpeningState::Covered),
        _ => state,
    };
    let floods = fields.text("floods").map(str::to_owned);
    let height_error = fields.quantity("height_error");
    Some(Opening {
        name: name?,
        rim,
        mark,
        state: state.unwrap_or(OpeningState::Open),
        plug,
        floods,
        discharge: fields.quantity("discharge"),
        height_error,
        place: fields.place().clone(),
    })
}
