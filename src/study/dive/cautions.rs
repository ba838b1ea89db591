//! What to be wary of in a dived craft.
use super::super::shared::cautions::{
    Caution, Doing, LeftOut, When, WithoutVolume, nobody_marked, of_waters_density, under_water,
};
use super::{DiveOptions, DiveResult, WANTED_LIFT_KG, WayState};
use crate::boat::{Boat, GivesWay};

/// Share of its volume past which foam that is squeezed is doubted.
const FOAM_LOST_SHARE: f64 = 0.1;

pub(super) fn cautions(boat: &Boat, options: &DiveOptions, result: &DiveResult) -> Vec<Caution> {
    let mut cautions = vec![
        Caution::DiveIsSumsOnly,
        Caution::GoesDownEverFaster,
        Caution::AirCaughtNotCounted,
        Caution::WetBattery,
    ];
    if result.cylinders.is_some() {
        cautions.push(Caution::CylinderInTest);
    }
    let without = result.without_volume.iter().map(String::as_str);
    cautions.extend(Caution::without_volume(without, WithoutVolume::Dived));
    let spread_kg = Some(result.weight_in_water_spread_kg);
    cautions.extend(of_waters_density(boat, spread_kg));
    let afloat = result
        .way_down
        .iter()
        .filter(|line| line.state != WayState::Dived);
    // The first of each kind in which a head goes under: after it they all do.
    let mut told: Vec<WayState> = Vec::new();
    let first: Vec<(When, _)> = afloat
        .filter(|line| {
            let is_under = line.heads.iter().any(|head| head.mouth_m < 0.0);
            let is_new = is_under && !told.contains(&line.state);
            told.extend(is_new.then_some(line.state));
            is_new
        })
        .map(|line| (line.when(), line.heads.as_slice()))
        .collect();
    cautions.extend(under_water(first));
    cautions.extend(nobody_marked(boat, LeftOut::Divers));
    let deepest = options
        .depths_m
        .iter()
        .fold(options.depth_m, |a, b| a.max(*b));
    let over_pa = boat.water.pressure_over_surface_pa(deepest);
    for entry in boat.masses.iter().filter(|entry| entry.dry_in.is_none()) {
        if let GivesWay::Stiff { .. } = entry.under_water.gives_way
            && let (Some(surface), Some(there)) = (entry.solid_m3, entry.volume_at_m3(over_pa))
            && there < (1.0 - FOAM_LOST_SHARE) * surface
        {
            cautions.push(Caution::FoamCrushes {
                thing: entry.name.clone(),
                loses: 1.0 - there / surface,
                depth_m: deepest,
            });
        }
    }
    cautions.push(Caution::LeadAndFoamCounted);
    if options.buoyant_kg.to_bits() == WANTED_LIFT_KG.to_bits() {
        cautions.push(Caution::TrimmedToLift {
            lift_kg: WANTED_LIFT_KG,
        });
    }
    cautions.extend(Doing::Diving.cautions(boat));
    cautions
}
