//! Options of the command line, held to what the figures of a boat file are.
use super::super::Boat;
use super::figures::{
    All, BAILED_M3_S, DISCHARGES, FILL_SHARE, FOAMS_KG_M3, Figure, PEOPLE_KG, SKINS_M, Scale,
    WALLS_KG_M2, Why,
};
use crate::numerics::Vec3;
use crate::quantity::{Dimension, Quantity};

/// What an option of the command line gives.
#[derive(Debug, Clone, Copy)]
pub enum Given {
    /// A place, boat frame, m.
    Place(Vec3),
    /// A length, m.
    Length(f64),
    /// A volume, m³.
    Volume(f64),
    /// A mass that the craft is to carry or lift, kg.
    Mass(f64),
    /// What someone weighs, kg.
    Person(f64),
    /// Density of foam, kg/m³.
    Foam(f64),
    /// Thickness of a skin, m.
    Skin(f64),
    /// What a wall weighs, kg/m².
    Wall(f64),
    /// Water bailed, m³/s.
    Bailed(f64),
    /// A share of area times speed that flows.
    Discharge(f64),
}

/// A length under which holes are filled, m, against that of the hull.
pub(super) fn fill_under(option: &'static str, under_m: f64, longest_m: f64) -> Figure<'static> {
    Figure {
        owner: String::new(),
        place: None,
        key: option,
        value: Quantity::exact(under_m),
        dimension: Dimension::Length,
        usual: (0.0, FILL_SHARE * longest_m),
        why: Why::Longest(longest_m),
    }
}

/// Shows the numbers of an option as those of the file are.
pub(super) fn each_of_option(
    boat: &Boat,
    option: &'static str,
    given: Given,
    see: &mut dyn FnMut(Figure<'static>),
) {
    let volume_m3 = boat.envelope.surface.signed_volume_m3();
    let scale = Scale::of(boat.hull_box_m, volume_m3, boat.water.density_kg_m3);
    let mut all = All { scale, see };
    let mut table = all.table("the command line".to_owned(), None);
    match given {
        Given::Place(at) => table.place(option, &[at.x, at.y, at.z].map(Quantity::exact)),
        Given::Length(0.0)
        | Given::Volume(0.0)
        | Given::Mass(0.0)
        | Given::Person(0.0)
        | Given::Skin(0.0)
        | Given::Wall(0.0)
        | Given::Bailed(0.0) => {}
        Given::Mass(mass_kg) => {
            let carries = scale.volume_m3 * scale.density_kg_m3;
            let why = Why::Whole(carries, Dimension::Mass);
            let usual = (0.0, carries);
            table.of(
                option,
                Quantity::exact(mass_kg),
                Dimension::Mass,
                usual,
                why,
            );
        }
        Given::Person(mass_kg) => {
            let why = Why::Kind("people weigh");
            let mass = Quantity::exact(mass_kg);
            table.of(option, mass, Dimension::Mass, PEOPLE_KG, why);
        }
        Given::Foam(density) => {
            table.density(option, Quantity::exact(density), FOAMS_KG_M3, "foams have");
        }
        Given::Wall(kg_m2) => {
            let (weight, why) = (Quantity::exact(kg_m2), Why::Kind("walls weigh"));
            table.of(option, weight, Dimension::ArealDensity, WALLS_KG_M2, why);
        }
        Given::Bailed(m3_s) => {
            let (flow, why) = (Quantity::exact(m3_s), Why::Kind("bails and pumps throw"));
            table.of(option, flow, Dimension::Flow, BAILED_M3_S, why);
        }
        Given::Skin(thickness_m) => {
            let why = Why::Kind("skins are");
            let thickness = Quantity::exact(thickness_m);
            table.of(option, thickness, Dimension::Length, SKINS_M, why);
        }
        Given::Length(length_m) => table.side(option, Quantity::exact(length_m)),
        Given::Volume(volume_m3) => table.volume(option, Quantity::exact(volume_m3)),
        Given::Discharge(share) => table.share(
            option,
            Quantity::exact(share),
            DISCHARGES,
            "holes let through a share",
        ),
    }
}
