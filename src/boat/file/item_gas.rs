//! Gas in an item: `cylinder` of compressed air, and `gas_volume` or
//! `stiffness` of what shrinks under pressure.
use serde::Serialize;

use super::Bulk;
use crate::boat::fields::{Fields, Way};
use crate::quantity::{Dimension, Quantity, UnitSystem};

/// Pressure left at the end of a dive, Pa: 50 bar. Common practice, no source.
const USUAL_RESERVE_PA: f64 = 50e5;
/// Pressure from which a cylinder's is doubted, Pa: 700 bar is beyond any
/// that is filled for diving or paintball (ours, no source).
const MOST_PRESSURE_PA: f64 = 700e5;

/// `cylinder = { water_volume, pressure, reserve }` of an item: compressed air.
/// The item's `mass` is then the empty cylinder's; the air's is added.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct AirCylinder {
    /// Space inside, as stamped on it, m³, more than 0.
    pub water_volume: Quantity,
    /// Over the surrounding air when full, Pa, more than 0.
    pub pressure: Quantity,
    /// The same at the end of a dive, Pa: 50 bar unless the file says, at most
    /// `pressure`.
    pub reserve: Quantity,
}

/// How an item's volume gives way to pressure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Gives {
    /// `gas_volume`: this much of the item's volume is gas in a soft skin, m³ at
    /// the surface; it follows Boyle's law.
    SoftGas(Quantity),
    /// `stiffness`: pressure over the share of volume that it takes away, Pa.
    Stiffness(Quantity),
}

/// Reads `cylinder` of an item.
pub(super) fn cylinder(item: &mut Fields<'_, '_>) -> Option<AirCylinder> {
    let mut fields = item.table("cylinder")?;
    let water_volume = fields.required_quantity("water_volume");
    let pressure = fields.required_quantity("pressure");
    if let Some(pressure) = &pressure
        && pressure.value > MOST_PRESSURE_PA
        && let Some(node) = fields.node("pressure")
    {
        let help = "most are filled to 200, 207, 232 or 300 bar (2900 to 4350 psi)";
        fields.out_of_range("pressure", node, bars(pressure), "at most 700 bar", help);
        fields.finish();
        return None;
    }
    let reserve = fields.quantity("reserve");
    let cylinder = water_volume.zip(pressure).and_then(|(volume, pressure)| {
        let usual = Quantity::exact(USUAL_RESERVE_PA.min(pressure.value));
        if let Some(given) = &reserve
            && given.value > pressure.value
            && let Some(node) = fields.node("reserve")
        {
            let rule = format!("at most `pressure`, {}", bars(&pressure));
            let help = "it is what is left at the end of a dive";
            fields.out_of_range("reserve", node, bars(given), &rule, help);
            return None;
        }
        Some(AirCylinder {
            water_volume: volume,
            pressure,
            reserve: reserve.unwrap_or(usual),
        })
    });
    fields.finish();
    cylinder
}

/// Reads `gas_volume` or `stiffness` of an item that has a volume.
pub(super) fn gives(
    item: &mut Fields<'_, '_>,
    mass: Option<&Quantity>,
    bulk: Option<&Bulk>,
) -> Option<Gives> {
    let gives = match item.one_way(&[&["gas_volume"], &["stiffness"]]) {
        Way::None | Way::Several => return None,
        Way::One(0) => item.quantity("gas_volume").map(Gives::SoftGas)?,
        Way::One(_) => item.quantity("stiffness").map(Gives::Stiffness)?,
    };
    let key = match gives {
        Gives::SoftGas(_) => "gas_volume",
        Gives::Stiffness(_) => "stiffness",
    };
    let Some(bulk) = bulk else {
        item.missing(
            &["volume", "density"],
            &format!("volume = \"12 L\": `{key}` says how that shrinks under water"),
        );
        return None;
    };
    let volume_m3 = match bulk {
        Bulk::Volume(volume) => volume.value,
        Bulk::Density(density) => mass?.value / density.value,
    };
    if let Gives::SoftGas(gas) = &gives
        && gas.value > volume_m3 * (1.0 + f64::EPSILON)
        && let Some(node) = item.node("gas_volume")
    {
        let litres = |m3: f64| Quantity::exact(m3).show(Dimension::Volume, UnitSystem::Metric);
        let rule = format!("at most the item's whole volume, {}", litres(volume_m3));
        let help = "`volume` is the whole of the item at the surface, its gas included";
        item.out_of_range("gas_volume", node, litres(gas.value), &rule, help);
        return None;
    }
    Some(gives)
}

fn bars(pressure: &Quantity) -> String {
    pressure.show(Dimension::Pressure, UnitSystem::Metric)
}
