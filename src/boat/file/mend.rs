//! `[hull.mend]`: how a raw scan becomes the hull, read and written.
use std::fmt::Write as _;

use super::shapes::metres;
use crate::boat::fields::{Bare, Bound, Fields, TableKeys};
use crate::mesh::{Crop, Level, MendRecipe, Mirror};
use crate::quantity::{Dimension, Quantity};

pub(super) static MEND: TableKeys = TableKeys {
    title: "[hull.mend]",
    keys: &[
        "drop_floor",
        "largest_only",
        "mirror",
        "upright",
        "swap_ends",
        "rim_heights",
        "crop",
        "outer_skin",
        "rebuild",
    ],
};
pub(super) static RIM_HEIGHTS: TableKeys = TableKeys {
    title: "`rim_heights`",
    keys: &["bow", "stern"],
};
pub(super) static CROP: TableKeys = TableKeys {
    title: "`crop`",
    keys: &["aft", "forward", "starboard", "port", "bottom", "top"],
};
/// The sides of a crop by axis: least, greatest.
const SIDES: [[&str; 2]; 3] = [["aft", "forward"], ["starboard", "port"], ["bottom", "top"]];

/// Reads `mend` of the hull; `fill_under` is the hull's own.
pub(super) fn mend(hull: &mut Fields<'_, '_>, fill_under: Option<&Quantity>) -> Option<MendRecipe> {
    let mut fields = hull.table("mend", &MEND, "[hull.mend] with upright = true below")?;
    let flag = |fields: &mut Fields<'_, '_>, key| fields.flag(key).unwrap_or(false);
    let drop_floor = flag(&mut fields, "drop_floor");
    let largest_only = flag(&mut fields, "largest_only");
    let outer_skin = flag(&mut fields, "outer_skin");
    let rebuild = flag(&mut fields, "rebuild");
    let mirror = fields.choice(
        "mirror",
        &[("cut", Mirror::AtCut), ("centre", Mirror::AtCentre)],
    );
    let upright = flag(&mut fields, "upright");
    let swap_ends = flag(&mut fields, "swap_ends");
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
    fields.finish(super::read::ALL_TABLES);
    Some(MendRecipe {
        drop_floor,
        largest_only,
        mirror,
        upright: upright.then_some(rim_heights.unwrap_or(Level::Floor)),
        swap_ends,
        crop: crop.unwrap_or_default(),
        outer_skin,
        fill_under_m: fill_under.map(|under| under.value),
        rebuild,
    })
}

fn rim_heights(mend: &mut Fields<'_, '_>) -> Option<Level> {
    let example = "rim_heights = { bow = \"42 cm\", stern = \"36 cm\" }";
    let mut fields = mend.table("rim_heights", &RIM_HEIGHTS, example)?;
    let [bow, stern] = ["bow", "stern"]
        .map(|key| fields.required_quantity(key, Dimension::Length, Bound::Any, Bare::Allowed));
    fields.finish(super::read::ALL_TABLES);
    Some(Level::RimHeights {
        bow_m: bow?.value,
        stern_m: stern?.value,
    })
}

fn crop(mend: &mut Fields<'_, '_>) -> Option<Crop> {
    let mut fields = mend.table("crop", &CROP, "crop = { bottom = \"-1 cm\", aft = -0.1 }")?;
    let mut crop = Crop::default();
    for (axis, sides) in SIDES.iter().enumerate() {
        let [least, greatest] =
            sides.map(|key| fields.quantity(key, Dimension::Length, Bound::Any, Bare::Allowed));
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
    fields.finish(super::read::ALL_TABLES);
    Some(crop)
}

/// A recipe as a boat file writes it, the hull's `fill_under` included.
#[must_use]
pub fn mend_toml(recipe: &MendRecipe) -> String {
    let mut text = String::new();
    if let Some(under) = recipe.fill_under_m {
        let _ = writeln!(text, "fill_under = \"{under} m\"");
    }
    text.push_str("[hull.mend]\n");
    for (key, set) in [
        ("drop_floor", recipe.drop_floor),
        ("largest_only", recipe.largest_only),
        ("upright", recipe.upright.is_some()),
        ("swap_ends", recipe.swap_ends),
        ("outer_skin", recipe.outer_skin),
        ("rebuild", recipe.rebuild),
    ] {
        if set {
            let _ = writeln!(text, "{key} = true");
        }
    }
    if let Some(Level::RimHeights { bow_m, stern_m }) = recipe.upright {
        let _ = writeln!(
            text,
            "rim_heights = {{ bow = {bow_m:?}, stern = {stern_m:?} }}"
        );
    }
    if let Some(mirror) = recipe.mirror {
        let word = match mirror {
            Mirror::AtCut => "cut",
            Mirror::AtCentre => "centre",
        };
        let _ = writeln!(text, "mirror = \"{word}\"");
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
