//! Reading of `[yardsticks]`.
use crate::boat::fields::Fields;
use crate::boat::yardsticks::{Band, Yardsticks};
use crate::quantity::{Quantity, UnitSystem};

pub(super) fn yardsticks(top: &mut Fields<'_, '_>) -> Yardsticks {
    let mut yardsticks = Yardsticks::default();
    let Some(mut fields) = top.table("yardsticks") else {
        return yardsticks;
    };
    for (keys, limits) in [
        (
            ["sill_red", "sill_green", "sill_source"],
            &mut yardsticks.sill,
        ),
        (
            ["tilt_red", "tilt_green", "tilt_source"],
            &mut yardsticks.tilt,
        ),
        (
            ["energy_red", "energy_green", "energy_source"],
            &mut yardsticks.energy,
        ),
        (["gap_red", "gap_green", "gap_source"], &mut yardsticks.gap),
    ] {
        band(&mut fields, keys, limits);
    }
    swamped(&mut fields, &mut yardsticks);
    fields.finish();
    yardsticks
}

/// What is asked of a craft with water inside; one source for all of it.
fn swamped(fields: &mut Fields<'_, '_>, yardsticks: &mut Yardsticks) {
    for (key, wish) in [
        ("floats_swamped", &mut yardsticks.floats_swamped),
        (
            "floats_with_one_flooded",
            &mut yardsticks.floats_with_one_flooded,
        ),
    ] {
        if let Some(asked) = fields.flag(key) {
            wish.asked = asked;
            if let Some(node) = fields.node(key) {
                wish.source = format!("the boat file, {}", node.place);
            }
        }
    }
    band(
        fields,
        ["swamped_sill_red", "swamped_sill_green", "swamped_source"],
        &mut yardsticks.swamped_sill,
    );
    // Read as a band turned round: what should be small fails over red.
    let lean = &mut yardsticks.swamped_lean;
    let mut turned = Band {
        red: lean.green,
        green: lean.red,
        source: std::mem::take(&mut lean.source),
    };
    band(
        fields,
        ["swamped_lean_green", "swamped_lean_red", "swamped_source"],
        &mut turned,
    );
    lean.green = turned.red;
    lean.red = turned.green;
    lean.source = turned.source;
    if let Some(source) = fields.text("swamped_source") {
        for wish in [
            &mut yardsticks.floats_swamped,
            &mut yardsticks.floats_with_one_flooded,
        ] {
            source.clone_into(&mut wish.source);
        }
    }
}

/// Lays what the file says over a band.
fn band(fields: &mut Fields<'_, '_>, [red, green, source]: [&'static str; 3], band: &mut Band) {
    for (key, limit) in [(red, &mut band.red), (green, &mut band.green)] {
        if let Some(given) = fields.quantity(key)
            && let Some(node) = fields.node(key)
        {
            *limit = given;
            band.source = format!("the boat file, {}", node.place);
        }
    }
    if let Some(given) = fields.text(source) {
        band.source = given.to_owned();
    }
    if band.red.value > band.green.value {
        let dimension = fields.dimension(red);
        let show = |limit: &Quantity| limit.show(dimension, UnitSystem::Metric);
        let given = if fields.has(red) { red } else { green };
        if let Some(node) = fields.node(given) {
            let (value, rule) = if given == red {
                let rule = format!("no more than `{green}`, {}", show(&band.green));
                (show(&band.red), rule)
            } else {
                let rule = format!("no less than `{red}`, {}", show(&band.red));
                (show(&band.green), rule)
            };
            let help = if red.ends_with("_green") {
                "up to green it is clear, over red it fails: set both"
            } else {
                "under red a margin fails, over green it is clear: set both"
            };
            fields.out_of_range(given, node, value, &rule, help);
        }
    }
}
