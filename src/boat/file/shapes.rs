//! Reading of shapes, weights and paths, which several tables share.
use std::path::PathBuf;

use super::keys::{AXES, UNITS};
use super::layup;
use super::{BoxShape, Cylinder, MeshUnits, OnSkin, Outlined, Point, Skin, Weight};
use crate::boat::fields::{Fields, Way};
use crate::boat::place::Place;
use crate::quantity::{Dimension, Quantity, UnitSystem};

/// A required `mesh` path and the place that names it.
pub(super) fn mesh(fields: &mut Fields<'_, '_>) -> Option<(PathBuf, Place)> {
    let example = fields.example("mesh");
    let node = fields.required("mesh", &example)?;
    let name = fields.text_of("mesh", node, &example)?;
    Some((node.place.beside(name), node.place.clone()))
}

/// `units` of a mesh.
pub(super) fn units(fields: &mut Fields<'_, '_>) -> Option<MeshUnits> {
    fields.choice("units", &UNITS)
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
            let mass = fields.required_quantity("mass");
            let centre = if fields.has("centre") {
                Some(fields.triple("centre")?)
            } else {
                None
            };
            let density = fields.quantity("density");
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
    let mut skin = fields.table("skin")?;
    let thickness = skin.required_quantity("thickness");
    let density = skin.required_quantity("density");
    skin.finish();
    Some(Skin {
        thickness: thickness?,
        density: density?,
        resin_as_usual: false,
    })
}

/// `box`, by two corners or by middle and size.
pub(super) fn box_shape(fields: &mut Fields<'_, '_>) -> Option<BoxShape> {
    let mut fields = fields.table("box")?;
    let shape = match fields.one_way(&[&["min", "max"], &["centre", "size"]]) {
        Way::Several => None,
        Way::One(1) => {
            let centre = fields.required_triple("centre");
            let size = fields.required_triple("size");
            centre
                .zip(size)
                .map(|(centre, size)| BoxShape::Centred { centre, size })
        }
        Way::One(_) | Way::None => {
            let min = fields.required_triple("min");
            let max = fields.required_triple("max");
            min.zip(max)
                .and_then(|(min, max)| corners(&mut fields, min, max))
        }
    };
    fields.finish();
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
    let mut fields = fields.table("cylinder")?;
    let from = fields.required_triple("from");
    let to = fields.required_triple("to");
    let radius = match fields.one_way(&[&["radius"], &["diameter"]]) {
        Way::Several => None,
        Way::One(1) => fields.quantity("diameter").map(|diameter| Quantity {
            value: diameter.value / 2.0,
            spread: diameter.spread / 2.0,
        }),
        Way::One(_) => fields.quantity("radius"),
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
    fields.finish();
    let (from, to) = ends?;
    Some(Cylinder {
        from,
        to,
        radius: radius?,
    })
}

/// `circle` of an opening.
pub(super) fn circle(fields: &mut Fields<'_, '_>) -> Option<OnSkin> {
    let mut fields = fields.table("circle")?;
    let circle = round_on_skin(&mut fields);
    let along = fields.choice("along", &AXES);
    fields.finish();
    Some(OnSkin { along, ..circle? })
}

/// `rectangle` of an opening.
pub(super) fn rectangle(fields: &mut Fields<'_, '_>) -> Option<OnSkin> {
    let mut fields = fields.table("rectangle")?;
    let rectangle = rectangle_on_skin(&mut fields);
    let along = fields.choice("along", &AXES);
    fields.finish();
    Some(OnSkin {
        along,
        ..rectangle?
    })
}

/// `centre` and `diameter`.
pub(super) fn round_on_skin(fields: &mut Fields<'_, '_>) -> Option<OnSkin> {
    let centre = fields.required_triple("centre");
    let diameter = fields.required_quantity("diameter");
    Some(OnSkin {
        centre: centre?,
        outlined: Outlined::Circle {
            diameter: diameter?,
        },
        along: None,
    })
}

/// `centre`, `length`, `height` and `corner`.
pub(super) fn rectangle_on_skin(fields: &mut Fields<'_, '_>) -> Option<OnSkin> {
    let centre = fields.required_triple("centre");
    let [length, height] = ["length", "height"].map(|key| fields.required_quantity(key));
    let corner = fields.quantity("corner").unwrap_or(Quantity::exact(0.0));
    let (length, height) = (length?, height?);
    let smaller = length.value.min(height.value);
    if 2.0 * corner.value > smaller
        && let Some(node) = fields.node("corner")
    {
        let half = Quantity::exact(smaller / 2.0);
        let rule = format!("at most half its smaller side, {}", metres(&half));
        let help = "so rounded it is wider than the opening; a circle has one size";
        fields.out_of_range("corner", node, metres(&corner), &rule, help);
        return None;
    }
    Some(OnSkin {
        centre: centre?,
        outlined: Outlined::Rectangle {
            length,
            height,
            corner,
        },
        along: None,
    })
}

/// A length as a message shows it.
pub(super) fn metres(length: &Quantity) -> String {
    length.show(Dimension::Length, UnitSystem::Metric)
}
