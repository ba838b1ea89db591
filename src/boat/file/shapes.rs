//! Reading of shapes, weights and paths, which several tables share.
use std::path::PathBuf;

use super::layup;
use super::{BoxShape, Cylinder, MeshUnits, Point, Skin, Weight};
use crate::boat::fields::{Bare, Bound, Fields, TableKeys, Way};
use crate::boat::place::Place;
use crate::quantity::{Dimension, Quantity, UnitSystem};

use super::read::ALL_TABLES;

pub(super) static SKIN: TableKeys = TableKeys {
    title: "`skin`",
    keys: &["thickness", "density"],
};
pub(super) static BOX: TableKeys = TableKeys {
    title: "`box`",
    keys: &["min", "max", "centre", "size"],
};
pub(super) static CYLINDER: TableKeys = TableKeys {
    title: "`cylinder`",
    keys: &["from", "to", "radius", "diameter"],
};

const UNITS: &[(&str, MeshUnits)] = &[
    ("m", MeshUnits::Metre),
    ("cm", MeshUnits::Centimetre),
    ("mm", MeshUnits::Millimetre),
    ("in", MeshUnits::Inch),
    ("ft", MeshUnits::Foot),
];

/// A required `mesh` path and the place that names it.
pub(super) fn mesh(fields: &mut Fields<'_, '_>) -> Option<(PathBuf, Place)> {
    let example = "mesh = \"hull.stl\"";
    let node = fields.required("mesh", example)?;
    let name = fields.text_of("mesh", node, example)?;
    Some((node.place.beside(name), node.place.clone()))
}

/// `units` of a mesh.
pub(super) fn units(fields: &mut Fields<'_, '_>) -> Option<MeshUnits> {
    fields.choice("units", UNITS)
}

/// `mass` and `centre`, or `skin`. A hull cannot weigh nothing; where the centre is
/// left out it follows from the shape.
pub(super) fn weight(fields: &mut Fields<'_, '_>, is_hull: bool) -> Option<Weight> {
    let ways: &[&[&str]] = &[
        &["mass", "centre", "density"],
        &["skin"],
        &["laminate"],
        &["foam"],
    ];
    let ways = if is_hull { &ways[..3] } else { ways };
    match fields.one_way(ways) {
        Way::None => Some(Weight::Unknown),
        Way::Several => None,
        Way::One(0) => {
            let bound = if is_hull {
                Bound::Positive
            } else {
                Bound::NotNegative
            };
            let mass = fields.required_quantity("mass", Dimension::Mass, bound, Bare::Allowed);
            let centre = if fields.has("centre") {
                Some(fields.triple("centre", Bound::Any)?)
            } else {
                None
            };
            let density = fields.quantity(
                "density",
                Dimension::Density,
                Bound::Positive,
                Bare::Allowed,
            );
            Some(Weight::Weighed {
                mass: mass?,
                centre,
                density,
            })
        }
        Way::One(1) => skin(fields).map(Weight::Skin),
        Way::One(2) => layup::laminate(fields).map(Weight::Skin),
        Way::One(_) => layup::foam(fields).map(Weight::Foam),
    }
}

fn skin(fields: &mut Fields<'_, '_>) -> Option<Skin> {
    let example = "skin = { thickness = \"5 mm\", density = \"955 kg/m3\" }";
    let mut skin = fields.table("skin", &SKIN, example)?;
    let thickness = skin.required_quantity(
        "thickness",
        Dimension::Length,
        Bound::Positive,
        Bare::Refused,
    );
    let density = skin.required_quantity(
        "density",
        Dimension::Density,
        Bound::Positive,
        Bare::Allowed,
    );
    skin.finish(ALL_TABLES);
    Some(Skin {
        thickness: thickness?,
        density: density?,
    })
}

/// `box`, by two corners or by middle and size.
pub(super) fn box_shape(fields: &mut Fields<'_, '_>) -> Option<BoxShape> {
    let example = "box = { min = [0, -0.3, 0], max = [\"60 cm\", 0.3, \"25 cm\"] }";
    let mut fields = fields.table("box", &BOX, example)?;
    let shape = match fields.one_way(&[&["min", "max"], &["centre", "size"]]) {
        Way::Several => None,
        Way::One(1) => {
            let centre = fields.required_triple("centre", Bound::Any);
            let size = fields.required_triple("size", Bound::Positive);
            centre
                .zip(size)
                .map(|(centre, size)| BoxShape::Centred { centre, size })
        }
        Way::One(_) | Way::None => {
            let min = fields.required_triple("min", Bound::Any);
            let max = fields.required_triple("max", Bound::Any);
            min.zip(max)
                .and_then(|(min, max)| corners(&mut fields, min, max))
        }
    };
    fields.finish(ALL_TABLES);
    shape
}

fn corners(fields: &mut Fields<'_, '_>, min: Point, max: Point) -> Option<BoxShape> {
    for (axis, (min, max)) in ["x", "y", "z"].iter().zip(min.iter().zip(&max)) {
        if min.value < max.value {
            continue;
        }
        let node = fields.node("max")?;
        let rule = format!("more than `min` along {axis}, {}", metres(min));
        let help = "`min` is the aftmost, most starboard, lowest corner: the smaller number \
                    along every axis";
        fields.out_of_range(
            "max",
            node,
            format!("{} along {axis}", metres(max)),
            &rule,
            help,
        );
        return None;
    }
    Some(BoxShape::Corners { min, max })
}

/// `cylinder`, by the middles of its ends and its radius or diameter.
pub(super) fn cylinder(fields: &mut Fields<'_, '_>) -> Option<Cylinder> {
    let example = "cylinder = { from = [1, 0, 0.1], to = [1, 0, 0.4], diameter = \"110 mm\" }";
    let mut fields = fields.table("cylinder", &CYLINDER, example)?;
    let from = fields.required_triple("from", Bound::Any);
    let to = fields.required_triple("to", Bound::Any);
    let radius = match fields.one_way(&[&["radius"], &["diameter"]]) {
        Way::Several => None,
        Way::One(1) => length(&mut fields, "diameter").map(|diameter| Quantity {
            value: diameter.value / 2.0,
            spread: diameter.spread / 2.0,
        }),
        Way::One(_) => length(&mut fields, "radius"),
        Way::None => {
            fields.missing(
                &["radius", "diameter"],
                "radius = \"55 mm\", or diameter = \"110 mm\"",
            );
            None
        }
    };
    let ends = from.zip(to).filter(|(from, to)| {
        let apart = from.iter().zip(to).any(|(a, b)| a.value != b.value);
        if !apart && let Some(node) = fields.node("to") {
            let help = "the two ends fix the cylinder's direction and length";
            fields.out_of_range(
                "to",
                node,
                "the same point as `from`".into(),
                "another",
                help,
            );
        }
        apart
    });
    fields.finish(ALL_TABLES);
    let (from, to) = ends?;
    Some(Cylinder {
        from,
        to,
        radius: radius?,
    })
}

fn length(fields: &mut Fields<'_, '_>, key: &'static str) -> Option<Quantity> {
    fields.quantity(key, Dimension::Length, Bound::Positive, Bare::Allowed)
}

/// A length as a message shows it.
pub(super) fn metres(length: &Quantity) -> String {
    length.show(Dimension::Length, UnitSystem::Metric)
}
