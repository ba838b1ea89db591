//! What a part is made of: laminate by its layers, foam by its density; and
//! outlines.
use super::keys::{AXES, OUTLINE};
use super::{Foam, Foot, Outline, Point, Skin, Wall};
use crate::boat::fields::{Fields, Way};
use crate::boat::tree::Value;
use crate::quantity::{Dimension, Quantity, UnitSystem};

/// Density of E-glass, kg/m³: 2540 in makers' tables (from memory), 2600 in Non-destructive
/// Testing and Repair of Pipelines, Review on Materials for Composite Repair Systems, table 4
/// (read).
pub(super) const E_GLASS: f64 = 2540.0;
/// Density of cured epoxy, kg/m³ (the same, table 5: 1150; read).
pub(super) const EPOXY: f64 = 1150.0;

/// Resin to cloth by mass where the file does not say, 1:1. Ours.
pub(super) const USUAL_RESIN: Quantity = Quantity {
    value: 1.0,
    spread: 0.0,
};

/// How far from upright a wall may lean, degrees. Ours.
const MOST_FLARE_DEG: f64 = 60.0;

/// `laminate`: see [`laid_up`].
pub(super) fn laminate(fields: &mut Fields<'_, '_>) -> Option<Skin> {
    let mut fields = fields.table("laminate")?;
    let cloth = fields.required_quantity("cloth");
    let layers = if fields.has("layers") {
        fields.count("layers")
    } else {
        fields.missing(&["layers"], "layers = 3");
        None
    };
    let given = fields.has("resin");
    let resin = match given {
        true => resin(&mut fields),
        false => Some(USUAL_RESIN),
    };
    let densities = [("fibre_density", E_GLASS), ("resin_density", EPOXY)]
        .map(|(key, usual)| fields.quantity(key).map_or(usual, |given| given.value));
    fields.finish();
    let layers = f64::from(u32::try_from(layers?).unwrap_or(u32::MAX));
    let skin = laid_up(cloth?, layers, resin?, densities);
    Some(Skin {
        resin_as_usual: !given,
        ..skin
    })
}

/// `resin`: its mass to the cloth's, as a number or as "glass : resin".
fn resin(fields: &mut Fields<'_, '_>) -> Option<Quantity> {
    let node = fields.node("resin")?;
    let Value::Text(text) = &node.value else {
        return fields.required_quantity("resin");
    };
    let Some((glass, resin)) = text.split_once(':') else {
        return fields.required_quantity("resin");
    };
    let parts = [glass, resin].map(|part| part.trim().parse::<f64>());
    if let [Ok(glass), Ok(resin)] = parts
        && glass > 0.0
        && resin >= 0.0
        && (resin / glass).is_finite()
    {
        return Some(Quantity::exact(resin / glass));
    }
    let rule = "glass to resin by weight, as \"1:1\" or \"1:1.2\"";
    let help = "so much resin to so much dry cloth; a bare number is resin over cloth";
    fields.out_of_range("resin", node, format!("\"{text}\""), rule, help);
    None
}

/// So many layers of cloth and so much resin to the cloth's mass, as the even skin that they
/// make: its mass for the area is `layers · cloth · (1 + resin)`, its thickness `layers ·
/// cloth · (1/fibre density + resin/resin density)`, without voids.
pub(super) fn laid_up(
    cloth: Quantity,
    layers: f64,
    resin: Quantity,
    [fibre_density, resin_density]: [f64; 2],
) -> Skin {
    let dry = cloth.value * layers;
    let thickness = dry * (1.0 / fibre_density + resin.value / resin_density);
    let density = dry * (1.0 + resin.value) / thickness;
    // The mass is off by what the cloth and the resin are off; all of it is
    // put on the thickness, which both mass and volume go with.
    let share = (cloth.spread / cloth.value).hypot(resin.spread / (1.0 + resin.value));
    Skin {
        thickness: Quantity {
            value: thickness,
            spread: thickness * share,
        },
        density: Quantity::exact(density),
        resin_as_usual: false,
    }
}

/// `foam`: its density, and the glass over it.
pub(super) fn foam(fields: &mut Fields<'_, '_>) -> Option<Foam> {
    let mut fields = fields.table("foam")?;
    let density = fields.required_quantity("density");
    let is_glassed = fields.has("laminate");
    let glass = laminate(&mut fields);
    fields.finish();
    if is_glassed && glass.is_none() {
        return None;
    }
    Some(Foam {
        density: density?,
        glass,
    })
}

/// `outline`: a ring of points, drawn along an axis from one coordinate to
/// another.
pub(super) fn outline(fields: &mut Fields<'_, '_>) -> Option<Outline> {
    let mut fields = fields.table("outline")?;
    let points: Option<Vec<Point>> = fields.points("points");
    if !fields.has("points") {
        fields.missing(&["points"], OUTLINE.example);
    }
    if let Some(few) = points.as_ref().filter(|points| points.len() < 3)
        && let Some(node) = fields.node("points")
    {
        let found = format!("{} points", few.len());
        let help = "they go round the outline; the last is joined to the first";
        fields.out_of_range("points", node, found, "three or more", help);
        return None;
    }
    let along = fields.choice("along", &AXES);
    if !fields.has("along") {
        fields.missing(&["along"], "along = \"z\"");
    }
    let [from, to] = ["from", "to"].map(|key| fields.required_quantity(key));
    let points = points
        .zip(along)
        .and_then(|(points, along)| uncrossed(&mut fields, "points", points, along, true));
    fields.finish();
    let (from, to, points, along) = (from?.value, to?.value, points?, along?);
    Some(Outline {
        points,
        along,
        from_m: from.min(to),
        to_m: from.max(to),
    })
}

/// `wall`: what it stands on and its height.
pub(super) fn wall(fields: &mut Fields<'_, '_>) -> Option<Wall> {
    let mut fields = fields.table("wall")?;
    let foot = match fields.one_way(&[&["foot", "closed"], &["round"]]) {
        Way::None => {
            let example = "foot = [[0.2, 0.3, 0.3], [0.2, -0.3, 0.3]], or round = \"cockpit\"";
            fields.missing(&["foot", "round"], example);
            None
        }
        Way::Several => None,
        Way::One(0) => foot(&mut fields),
        Way::One(_) => fields
            .text("round")
            .map(|name| Foot::Round(name.to_owned())),
    };
    let height = fields.required_quantity("height");
    let goes_round = fields.has("round");
    let mut only_round = |key: &'static str| {
        if fields.has(key) && !goes_round {
            let help = "it is for a wall that goes round an opening: `round`";
            fields.misplaced(key, "beside `foot`", "beside `round`", help);
        }
    };
    only_round("flare");
    only_round("level_at");
    only_round("level_at_rest");
    let flare = fields.quantity("flare").unwrap_or(Quantity::exact(0.0));
    if flare.value.abs() > MOST_FLARE_DEG
        && let Some(node) = fields.node("flare")
    {
        let found = flare.show(Dimension::Angle, UnitSystem::Metric);
        let help = "upright is 0; with a minus it leans inward";
        fields.out_of_range("flare", node, found, "within 60° of upright", help);
        return None;
    }
    let level_at = level_at(&mut fields);
    let level_at_rest = fields.flag("level_at_rest").unwrap_or(false);
    if level_at_rest && level_at.is_some() {
        let help = "take one of the two out: at rest it is found how the craft lies";
        fields.misplaced("level_at_rest", "beside `level_at`", "alone", help);
        return None;
    }
    fields.finish();
    Some(Wall {
        foot: foot?,
        height: height?,
        flare,
        level_at,
        level_at_rest,
    })
}

fn level_at(wall: &mut Fields<'_, '_>) -> Option<[Quantity; 2]> {
    let mut fields = wall.table("level_at")?;
    let [heel, pitch] = ["heel", "pitch"].map(|key| fields.quantity(key));
    fields.finish();
    let level = Quantity::exact(0.0);
    Some([heel.unwrap_or(level), pitch.unwrap_or(level)])
}

fn foot(fields: &mut Fields<'_, '_>) -> Option<Foot> {
    let closed = fields.flag("closed").unwrap_or(false);
    if !fields.has("foot") {
        fields.missing(&["foot"], "foot = [[0.2, 0.3, 0.3], [0.2, -0.3, 0.3]]");
    }
    let points = fields.points("foot")?;
    let least = if closed { 3 } else { 2 };
    if points.len() < least
        && let Some(node) = fields.node("foot")
    {
        let found = format!("{} point(s)", points.len());
        let rule = format!("{least} or more");
        let help = "they go along the foot; a closed wall joins the last to the first";
        fields.out_of_range("foot", node, found, &rule, help);
        return None;
    }
    let points = uncrossed(fields, "foot", points, 2, closed)?;
    Some(if closed {
        Foot::Ring(points)
    } else {
        Foot::Line(points)
    })
}

/// The points, unless two sides of the line through them cross or touch when
/// looked at along an axis, or two points in turn are one.
fn uncrossed(
    fields: &mut Fields<'_, '_>,
    key: &'static str,
    points: Vec<Point>,
    along: usize,
    closed: bool,
) -> Option<Vec<Point>> {
    let axes = [(along + 1) % 3, (along + 2) % 3];
    let flat: Vec<[f64; 2]> = points
        .iter()
        .map(|point| axes.map(|axis| point[axis].value))
        .collect();
    let Some((one, other)) = crossing(&flat, closed) else {
        return Some(points);
    };
    let node = fields.node(key)?;
    let axis = ["x", "y", "z"][along.min(2)];
    let found = if one == other {
        format!(
            "a line whose point {} comes twice, seen along {axis}",
            one + 1
        )
    } else {
        format!(
            "a line whose side after point {} meets that after point {}, seen along {axis}",
            one + 1,
            other + 1
        )
    };
    let help = "give the points in order along the line, each once; a closed line comes back to the first by itself";
    fields.out_of_range(key, node, found, "one that does not cross itself", help);
    None
}

/// Numbers of two sides of a line that meet other than at the point between
/// them; a side of no length meets itself.
fn crossing(points: &[[f64; 2]], closed: bool) -> Option<(usize, usize)> {
    let count = points.len();
    let sides = if closed { count } else { count - 1 };
    let ends = |side: usize| (points[side], points[(side + 1) % count]);
    let meets = |one: usize, other: usize| {
        let ((a, b), (c, d)) = (ends(one), ends(other));
        // Sides that share a point meet elsewhere only when one folds back
        // along the other.
        let folds = |shared, p, q| {
            let (u, v) = (from(shared, p), from(shared, q));
            cross(u, v) == 0.0 && u[0] * v[0] + u[1] * v[1] > 0.0
        };
        if other == one + 1 {
            folds(b, a, d)
        } else if closed && one == 0 && other == sides - 1 {
            folds(a, b, c)
        } else {
            sides_meet(a, b, c, d)
        }
    };
    let no_length = (0..sides).find(|&side| ends(side).0 == ends(side).1);
    no_length.map(|side| (side, side)).or_else(|| {
        (0..sides).find_map(|one| {
            let other = (one + 1..sides).find(|&other| meets(one, other))?;
            Some((one, other))
        })
    })
}

fn from(origin: [f64; 2], point: [f64; 2]) -> [f64; 2] {
    [point[0] - origin[0], point[1] - origin[1]]
}

fn cross(u: [f64; 2], v: [f64; 2]) -> f64 {
    u[0] * v[1] - u[1] * v[0]
}

/// Whether two segments have a point in common.
fn sides_meet(a: [f64; 2], b: [f64; 2], c: [f64; 2], d: [f64; 2]) -> bool {
    let side = |p, q, r| cross(from(p, q), from(p, r));
    let boxes_meet =
        (0..2).all(|k| a[k].min(b[k]) <= c[k].max(d[k]) && c[k].min(d[k]) <= a[k].max(b[k]));
    boxes_meet && side(a, b, c) * side(a, b, d) <= 0.0 && side(c, d, a) * side(c, d, b) <= 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_that_cross_touch_or_fold_back_are_found() {
        let square = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];
        assert_eq!(crossing(&square, true), None);
        assert_eq!(crossing(&square, false), None);
        assert_eq!(crossing(&square[..3], true), None);
        assert_eq!(crossing(&square[..2], false), None);
        let bow_tie = [square[0], square[2], square[1], square[3]];
        assert_eq!(crossing(&bow_tie, true), Some((0, 2)));
        // Open, the sides that cross are gone.
        assert_eq!(crossing(&[square[0], square[1], square[3]], false), None);
        let twice = [square[0], square[1], square[1], square[2]];
        assert_eq!(crossing(&twice, false), Some((1, 1)));
        let said_again = [square[0], square[1], square[2], square[0]];
        assert_eq!(crossing(&said_again, true), Some((3, 3)));
        let fold = [[0.0, 0.0], [1.0, 0.0], [0.5, 0.0]];
        assert_eq!(crossing(&fold, false), Some((0, 1)));
        let touch = [[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [1.0, 0.0], [0.0, 1.0]];
        assert_eq!(crossing(&touch, true), Some((0, 2)));
    }
}
