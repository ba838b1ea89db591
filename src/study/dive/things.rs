//! What the dived craft is made of, thing by thing.
use schemars::JsonSchema;
use serde::Serialize;

use super::body::{Body, Under, covers_contents, fill};

/// One thing under water.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct ThingLine {
    /// What it is.
    pub name: String,
    /// kg.
    pub mass_kg: f64,
    /// What it displaces at the depth, m³: nothing where it stands in a space that
    /// stays dry, which displaces by itself; absent where the file does not say.
    pub volume_m3: Option<f64>,
    /// kg; its mass where its volume is not known.
    pub weight_in_water_kg: f64,
    /// ± of that, kg: of a person without volume.
    pub weight_in_water_spread_kg: f64,
    /// The space that stays dry in which it stands.
    pub dry_in: Option<String>,
    /// Weight in water over weight in air: negative floats; absent for a space
    /// that only displaces.
    pub submerged_factor: Option<f64>,
}

/// Names of what has water round it and no known volume.
pub(super) fn without_volume(body: &Body<'_>) -> Vec<String> {
    body.things()
        .filter(|(entry, wet)| entry.solid_m3.is_none() && wet.share > 0.0)
        .map(|(entry, _)| entry.name.clone())
        .collect()
}

/// Everything that weighs, then the spaces that stay dry and what tanks hold.
pub(super) fn things(body: &Body<'_>, under: &Under<'_>) -> Vec<ThingLine> {
    let spaces = dry_spaces(body, under.water.density_kg_m3);
    solid_things(body, under).chain(spaces).collect()
}

fn solid_things<'a>(body: &Body<'a>, under: &Under<'_>) -> impl Iterator<Item = ThingLine> {
    let density = under.water.density_kg_m3;
    let over_pa = under.water.pressure_over_surface_pa(under.depth_m);
    let used_share = under.used_share;
    let boat = body.boat;
    body.things().map(move |(entry, wet)| {
        let displaced_kg = match entry.displaced_kg(density, over_pa) {
            Some(displaced_kg) => Some(wet.share * displaced_kg),
            None => (wet.share == 0.0).then_some(0.0),
        };
        let mass_kg = entry.mass_with_used_kg(used_share);
        let weight_in_water_kg = mass_kg - displaced_kg.unwrap_or(0.0);
        ThingLine {
            name: entry.name.clone(),
            mass_kg,
            volume_m3: displaced_kg.map(|displaced_kg| displaced_kg / density),
            weight_in_water_kg,
            weight_in_water_spread_kg: wet.share * entry.displaced_spread_kg(),
            dry_in: entry
                .dry_in
                .map(|space| boat.compartments[space].name.clone()),
            submerged_factor: Some(weight_in_water_kg / mass_kg),
        }
    })
}

/// Spaces that stay dry, and what tanks hold.
fn dry_spaces(body: &Body<'_>, water_kg_m3: f64) -> impl Iterator<Item = ThingLine> {
    let boat = body.boat;
    let spaces = body.dry_spaces().map(move |space| {
        let (mass_kg, _) = fill(space, water_kg_m3);
        let volume_m3 = space.surface().signed_volume_m3();
        ThingLine {
            name: format!("dry space, {}", space.name),
            mass_kg,
            volume_m3: Some(volume_m3),
            weight_in_water_kg: mass_kg - volume_m3 * water_kg_m3,
            weight_in_water_spread_kg: 0.0,
            dry_in: None,
            submerged_factor: None,
        }
    });
    let tanks = boat.tanks.iter().map(move |tank| {
        let mass_kg = tank.volume_m3 * tank.density_kg_m3;
        let volume_m3 = if covers_contents(boat, &tank.name) {
            0.0
        } else {
            tank.volume_m3
        };
        let weight_in_water_kg = mass_kg - volume_m3 * water_kg_m3;
        ThingLine {
            name: format!("liquid in {}", tank.name),
            mass_kg,
            volume_m3: Some(volume_m3),
            weight_in_water_kg,
            weight_in_water_spread_kg: 0.0,
            dry_in: None,
            submerged_factor: (mass_kg > 0.0).then(|| weight_in_water_kg / mass_kg),
        }
    });
    spaces.chain(tanks)
}
