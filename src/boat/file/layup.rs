//! What a part is made of: laminate by its layers, foam by its density; and
//! outlines.
use super::{Outline, Point, Skin};
use crate::boat::fields::{Bare, Bound, Fields, TableKeys};
use crate::quantity::{Dimension, Quantity};

use super::read::ALL_TABLES;

pub(super) static LAMINATE: TableKeys = TableKeys {
    title: "`laminate`",
    keys: &["cloth", "layers", "resin", "fibre_density", "resin_density"],
};
pub(super) static FOAM: TableKeys = TableKeys {
    title: "`foam`",
    keys: &["density"],
};
pub(super) static OUTLINE: TableKeys = TableKeys {
    title: "`outline`",
    keys: &["points", "along", "from", "to"],
};

/// Density of E-glass, kg/m³ (maker's tables: 2540).
const E_GLASS: f64 = 2540.0;
/// Density of cured epoxy, kg/m³ (maker's tables: about 1150).
const EPOXY: f64 = 1150.0;

/// `laminate`: so many layers of cloth and so much resin to the cloth's mass,
/// as the even skin that they make: its mass for the area is `layers · cloth ·
/// (1 + resin)`, its thickness `layers · cloth · (1/fibre density +
/// resin/resin density)`, without voids.
pub(super) fn laminate(fields: &mut Fields<'_, '_>) -> Option<Skin> {
    let example = "laminate = { cloth = \"200 g/m2\", layers = 3, resin = 1.0 }";
    let mut fields = fields.table("laminate", &LAMINATE, example)?;
    let cloth = fields.required_quantity(
        "cloth",
        Dimension::ArealDensity,
        Bound::Positive,
        Bare::Refused,
    );
    let layers = if fields.has("layers") {
        fields.count("layers")
    } else {
        fields.missing(&["layers"], "layers = 3");
        None
    };
    let resin = fields.required_quantity(
        "resin",
        Dimension::Fraction,
        Bound::NotNegative,
        Bare::Allowed,
    );
    let [fibre_density, resin_density] = [("fibre_density", E_GLASS), ("resin_density", EPOXY)]
        .map(|(key, usual)| {
            fields
                .quantity(key, Dimension::Density, Bound::Positive, Bare::Allowed)
                .map_or(usual, |given| given.value)
        });
    fields.finish(ALL_TABLES);
    let (cloth, layers, resin) = (cloth?, layers?, resin?);
    let dry = cloth.value * f64::from(u32::try_from(layers).unwrap_or(u32::MAX));
    let thickness = dry * (1.0 / fibre_density + resin.value / resin_density);
    let density = dry * (1.0 + resin.value) / thickness;
    // The mass is off by what the cloth and the resin are off; all of it is
    // put on the thickness, which both mass and volume go with.
    let share = (cloth.spread / cloth.value).hypot(resin.spread / (1.0 + resin.value));
    Some(Skin {
        thickness: Quantity {
            value: thickness,
            spread: thickness * share,
        },
        density: Quantity::exact(density),
    })
}

/// `foam`: its density, kg/m³.
pub(super) fn foam(fields: &mut Fields<'_, '_>) -> Option<Quantity> {
    let mut fields = fields.table("foam", &FOAM, "foam = { density = \"32 kg/m3\" }")?;
    let density = fields.required_quantity(
        "density",
        Dimension::Density,
        Bound::Positive,
        Bare::Allowed,
    );
    fields.finish(ALL_TABLES);
    density
}

/// `outline`: a ring of points, drawn along an axis from one coordinate to
/// another.
pub(super) fn outline(fields: &mut Fields<'_, '_>) -> Option<Outline> {
    let example = "outline = { points = [[1.2, 0.2, 0], [1.6, 0.2, 0], [1.4, -0.1, 0]], along = \"z\", from = 0.2, to = 0.5 }";
    let mut fields = fields.table("outline", &OUTLINE, example)?;
    let points: Option<Vec<Point>> = fields.points("points");
    if !fields.has("points") {
        fields.missing(&["points"], example);
    }
    if let Some(few) = points.as_ref().filter(|points| points.len() < 3)
        && let Some(node) = fields.node("points")
    {
        let found = format!("{} points", few.len());
        let help = "they go round the outline; the last is joined to the first";
        fields.out_of_range("points", node, found, "three or more", help);
        return None;
    }
    let along = fields.choice("along", &[("x", 0), ("y", 1), ("z", 2)]);
    if !fields.has("along") {
        fields.missing(&["along"], "along = \"z\"");
    }
    let [from, to] = ["from", "to"]
        .map(|key| fields.required_quantity(key, Dimension::Length, Bound::Any, Bare::Allowed));
    fields.finish(ALL_TABLES);
    let (from, to) = (from?.value, to?.value);
    Some(Outline {
        points: points?,
        along: along?,
        from_m: from.min(to),
        to_m: from.max(to),
    })
}
