//! `[hull] measured`: what was measured of all aboard together.
use crate::boat::fields::{Bare, Bound, Fields};
use crate::boat::tree::{Node, Value};
use crate::boat::{AboardThen, MeasuredWhole, lower_factor};
use crate::quantity::{Dimension, Quantity};

/// Ways of weighing the hull that make a measurement of an extended file old.
const WEIGHED_ANEW: &[&[&str]] = &[&["mass", "centre"], &["skin"], &["laminate"]];
pub(super) const EXAMPLE: &str = "measured = { mass = \"240 kg ± 1 kg\", centre = [\"1.6 m ± 0.01 m\", 0, 0.2], correlation = [[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]], aboard = [] }; awash calibrate writes it";

pub(super) fn measured(hull: &mut Fields<'_, '_>) -> Option<MeasuredWhole> {
    if hull.is_outdated("measured", WEIGHED_ANEW) {
        hull.node("measured");
        return None;
    }
    let mut fields = hull.table("measured")?;
    let mass = fields.required_quantity("mass");
    let centre = fields.required_triple("centre");
    let correlation = correlation(&mut fields);
    let aboard = aboard(&mut fields);
    fields.finish();
    Some(MeasuredWhole {
        mass: mass?,
        centre: centre?,
        correlation: correlation?,
        aboard: aboard?,
    })
}

fn correlation(fields: &mut Fields<'_, '_>) -> Option<[[f64; 4]; 4]> {
    const KEY: &str = "correlation";
    const WANTED: &str =
        "four rows of four numbers from -1 to 1, the same on both sides of a diagonal of ones";
    let node = fields.required(KEY, EXAMPLE)?;
    let rows = numbers(node).filter(|rows| {
        let is_even = (0..4).all(|i| {
            rows[i][i] == 1.0 && (0..4).all(|j| rows[i][j] == rows[j][i] && rows[i][j].abs() <= 1.0)
        });
        is_even && lower_factor(rows).is_some()
    });
    if rows.is_none() {
        fields.wrong_type(KEY, node, WANTED, EXAMPLE);
    }
    rows
}

fn numbers(node: &Node) -> Option<[[f64; 4]; 4]> {
    let Value::List(rows) = &node.value else {
        return None;
    };
    let row = |node: &Node| -> Option<[f64; 4]> {
        let Value::List(row) = &node.value else {
            return None;
        };
        let numbers: Option<Vec<f64>> = row
            .iter()
            .map(|node| match node.value {
                Value::Number(number) => Some(number),
                _ => None,
            })
            .collect();
        numbers?.try_into().ok()
    };
    let rows: Option<Vec<[f64; 4]>> = rows.iter().map(row).collect();
    rows?.try_into().ok()
}

fn aboard(fields: &mut Fields<'_, '_>) -> Option<Vec<AboardThen>> {
    const KEY: &str = "aboard";
    let node = fields.required(KEY, EXAMPLE)?;
    let Value::List(rows) = &node.value else {
        fields.wrong_type(KEY, node, "a list of rows [name, mass, x, y, z]", EXAMPLE);
        return None;
    };
    rows.iter().map(|row| thing(fields, row)).collect()
}

fn thing<'t>(fields: &mut Fields<'t, '_>, row: &'t Node) -> Option<AboardThen> {
    const KEY: &str = "aboard";
    const WANTED: &str = "a row of name, mass, x, y, z";
    const ROW: &str = "[\"battery\", \"18 kg ± 0.5 kg\", 0.6, 0, \"8 cm ± 1 cm\"]";
    let parts = match &row.value {
        Value::List(parts) => parts.as_slice(),
        _ => &[],
    };
    let [name, mass, place @ ..] = parts else {
        fields.wrong_type(KEY, row, WANTED, ROW);
        return None;
    };
    let [x, y, z] = place else {
        fields.wrong_type(KEY, row, WANTED, ROW);
        return None;
    };
    let name = fields.text_of(KEY, name, ROW)?.to_owned();
    let mass = fields.quantity_of(
        KEY,
        mass,
        Dimension::Mass,
        Bound::NotNegative,
        Bare::Allowed,
    );
    let place: [Option<Quantity>; 3] = [x, y, z]
        .map(|node| fields.quantity_of(KEY, node, Dimension::Length, Bound::Any, Bare::Allowed));
    let [x, y, z] = place;
    Some(AboardThen {
        name,
        mass: mass?,
        at: [x?, y?, z?],
    })
}
