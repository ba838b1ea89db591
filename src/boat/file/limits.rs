//! Reading of `[yardsticks]`.
use super::read::ALL_TABLES;
use crate::boat::fields::{Bare, Bound, Fields, TableKeys};
use crate::boat::yardsticks::{Band, Yardsticks};
use crate::quantity::{Dimension, Quantity, UnitSystem};

pub(super) static YARDSTICKS: TableKeys = TableKeys {
    title: "[yardsticks]",
    keys: &[
        "sill_red",
        "sill_green",
        "sill_source",
        "tilt_red",
        "tilt_green",
        "tilt_source",
        "energy_red",
        "energy_green",
        "energy_source",
        "floats_swamped",
        "floats_with_one_flooded",
        "swamped_sill_red",
        "swamped_sill_green",
        "swamped_lean_green",
        "swamped_lean_red",
        "swamped_source",
        "gap_red",
        "gap_green",
        "gap_source",
    ],
};

pub(super) fn yardsticks(top: &mut Fields<'_, '_>) -> Yardsticks {
    let mut yardsticks = Yardsticks::default();
    let example = "[yardsticks] with sill_red = \"5 cm\" below";
    let Some(mut fields) = top.section("yardsticks", &YARDSTICKS, example) else {
        return yardsticks;
    };
    let keys = [
        ["sill_red", "sill_green", "sill_source"],
        ["tilt_red", "tilt_green", "tilt_source"],
        ["energy_red", "energy_green", "energy_source"],
    ];
    band(
        &mut fields,
        keys[0],
        Dimension::Length,
        &mut yardsticks.sill,
    );
    band(&mut fields, keys[1], Dimension::Angle, &mut yardsticks.tilt);
    band(
        &mut fields,
        keys[2],
        Dimension::Energy,
        &mut yardsticks.energy,
    );
    band(
        &mut fields,
        ["gap_red", "gap_green", "gap_source"],
        Dimension::Length,
        &mut yardsticks.gap,
    );
    swamped(&mut fields, &mut yardsticks);
    fields.finish(ALL_TABLES);
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
        Dimension::Length,
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
        Dimension::Angle,
        &mut turned,
    );
    lean.green = turned.red;
    lean.red = turned.green;
    lean.source = turned.source;
    if let Some(source) = fields.text("swamped_source", "swamped_source = \"our club\"") {
        for wish in [
            &mut yardsticks.floats_swamped,
            &mut yardsticks.floats_with_one_flooded,
        ] {
            source.clone_into(&mut wish.source);
        }
    }
}

/// Lays what the file says over a band.
fn band(
    fields: &mut Fields<'_, '_>,
    [red, green, source]: [&'static str; 3],
    dimension: Dimension,
    band: &mut Band,
) {
    let bare = match dimension {
        Dimension::Angle => Bare::Allowed,
        _ => Bare::Refused,
    };
    for (key, limit) in [(red, &mut band.red), (green, &mut band.green)] {
        if let Some(node) = fields.node(key)
            && let Some(given) = fields.quantity_of(key, node, dimension, Bound::NotNegative, bare)
        {
            *limit = given;
            band.source = format!("the boat file, {}", node.place);
        }
    }
    let example = format!("{source} = \"from the builder's handbook\"");
    if let Some(given) = fields.text(source, &example) {
        band.source = given.to_owned();
    }
    if band.red.value > band.green.value {
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
