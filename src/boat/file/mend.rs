//! `[hull.mend]`: how a raw scan becomes the hull, read and written.
use std::fmt::Write as _;

use super::shapes::metres;
use crate::boat::fields::{Fields, count_of};
use crate::boat::tree::Value;
use crate::mesh::{Crop, Level, MendRecipe, Mirror};
use crate::quantity::Quantity;

/// The sides of a crop by axis: least, greatest.
const SIDES: [[&str; 2]; 3] = [["aft", "forward"], ["starboard", "port"], ["bottom", "top"]];

/// Reads `mend` of the hull; `fill_under` is the hull's own.
pub(super) fn mend(hull: &mut Fields<'_, '_>, fill_under: Option<&Quantity>) -> Option<MendRecipe> {
    let mut fields = hull.table("mend")?;
    let flag = |fields: &mut Fields<'_, '_>, key| fields.flag(key).unwrap_or(false);
    let drop_floor = flag(&mut fields, "drop_floor");
    let largest_only = flag(&mut fields, "largest_only");
    let outer_skin = flag(&mut fields, "outer_skin");
    let rebuild = flag(&mut fields, "rebuild");
    let mirror = mirror(&mut fields);
    let upright = flag(&mut fields, "upright");
    let swap_ends = flag(&mut fields, "swap_ends");
    let upside_down = flag(&mut fields, "upside_down");
    let smooth_rims = flag(&mut fields, "smooth_rims");
    let [fill, keep] = ["fill", "keep"].map(|key| numbers(&mut fields, key));
    let rim_heights = rim_heights(&mut fields);
    if !upright
        && rim_heights.is_some()
        && let Some(node) = fields.node("rim_heights")
    {
        let help = "they say how the hull lies fore and aft when it is turned upright";
        fields.out_of_range(
            "rim_heights",
            node,
            "without `upright`".into(),
            "beside upright = true",
            help,
        );
    }
    let crop = crop(&mut fields);
    fields.finish();
    Some(MendRecipe {
        drop_floor,
        largest_only,
        mirror,
        upright: upright.then_some(rim_heights.unwrap_or(Level::Floor)),
        swap_ends,
        upside_down,
        crop: crop.unwrap_or_default(),
        outer_skin,
        smooth_rims,
        fill,
        keep,
        fill_under_m: fill_under.map(|under| under.value),
        rebuild,
    })
}

/// `mirror`: "cut", "centre" or the number of a flat part.
fn mirror(mend: &mut Fields<'_, '_>) -> Option<Mirror> {
    let node = mend.node("mirror")?;
    if matches!(node.value, Value::Number(_)) {
        return mend.count("mirror").map(Mirror::AtFlat);
    }
    mend.choice(
        "mirror",
        &[("cut", Mirror::AtCut), ("centre", Mirror::AtCentre)],
    )
}

/// Numbers of holes; none where the key is not there.
fn numbers(mend: &mut Fields<'_, '_>, key: &'static str) -> Vec<usize> {
    let Some(node) = mend.node(key) else {
        return Vec::new();
    };
    let all = match &node.value {
        Value::List(list) => list.iter().map(count_of).collect(),
        _ => None,
    };
    all.unwrap_or_else(|| {
        let example = format!("{key} = [1, 4]");
        mend.wrong_type(key, node, "a list of holes' numbers, from 1 up", &example);
        Vec::new()
    })
}

fn rim_heights(mend: &mut Fields<'_, '_>) -> Option<Level> {
    let mut fields = mend.table("rim_heights")?;
    let [bow, stern] = ["bow", "stern"].map(|key| fields.required_quantity(key));
    fields.finish();
    Some(Level::RimHeights {
        bow_m: bow?.value,
        stern_m: stern?.value,
    })
}

fn crop(mend: &mut Fields<'_, '_>) -> Option<Crop> {
    let mut fields = mend.table("crop")?;
    let mut crop = Crop::default();
    for (axis, sides) in SIDES.iter().enumerate() {
        let [least, greatest] = sides.map(|key| fields.quantity(key));
        if let (Some(low), Some(high)) = (&least, &greatest)
            && low.value >= high.value
            && let Some(node) = fields.node(sides[1])
        {
            let rule = format!("more than `{}`, {}", sides[0], metres(low));
            let help = "x grows forward, y to port, z up; what lies between is kept";
            fields.out_of_range(sides[1], node, metres(high), &rule, help);
        }
        crop.least[axis] = least.map(|q| q.value);
        crop.greatest[axis] = greatest.map(|q| q.value);
    }
    fields.finish();
    Some(crop)
}

/// A recipe as a boat file writes it, the hull's `scale_to` and `fill_under`
/// included.
#[must_use]
pub fn mend_toml(recipe: &MendRecipe, scale_to_length_m: Option<f64>) -> String {
    let mut text = String::new();
    if let Some(length) = scale_to_length_m {
        let _ = writeln!(text, "scale_to = {{ length = \"{length} m\" }}");
    }
    if let Some(under) = recipe.fill_under_m {
        let _ = writeln!(text, "fill_under = \"{under} m\"");
    }
    text.push_str("[hull.mend]\n");
    for (key, set) in [
        ("drop_floor", recipe.drop_floor),
        ("largest_only", recipe.largest_only),
        ("upright", recipe.upright.is_some()),
        ("swap_ends", recipe.swap_ends),
        ("upside_down", recipe.upside_down),
        ("outer_skin", recipe.outer_skin),
        ("smooth_rims", recipe.smooth_rims),
        ("rebuild", recipe.rebuild),
    ] {
        if set {
            let _ = writeln!(text, "{key} = true");
        }
    }
    for (key, numbers) in [("fill", &recipe.fill), ("keep", &recipe.keep)] {
        if !numbers.is_empty() {
            let _ = writeln!(text, "{key} = {numbers:?}");
        }
    }
    if let Some(Level::RimHeights { bow_m, stern_m }) = recipe.upright {
        let _ = writeln!(
            text,
            "rim_heights = {{ bow = {bow_m:?}, stern = {stern_m:?} }}"
        );
    }
    if let Some(mirror) = recipe.mirror {
        let value = match mirror {
            Mirror::AtCut => "\"cut\"".to_owned(),
            Mirror::AtCentre => "\"centre\"".to_owned(),
            Mirror::AtFlat(number) => number.to_string(),
        };
        let _ = writeln!(text, "mirror = {value}");
    }
    if !recipe.crop.is_nothing() {
        let sides: Vec<String> = (0..3)
            .flat_map(|axis| {
                [
                    (SIDES[axis][0], recipe.crop.least[axis]),
                    (SIDES[axis][1], recipe.crop.greatest[axis]),
                ]
            })
            .filter_map(|(key, value)| Some(format!("{key} = {:?}", value?)))
            .collect();
        let _ = writeln!(text, "crop = {{ {} }}", sides.join(", "));
    }
    text
}
