//! The table of a dived craft.
use super::cautions::{cautions, when};
use super::doubts::doubts;
use super::say::Say;
use super::words::Words;
use super::{Present, Sheet};
use crate::quantity::{Dimension, Metric, UnitSystem, show, show_point};
use crate::study::{
    AirLine, Answer, BalanceResult, CardLine, CylinderState, DiveResult, EndPiece, Hangs, Material,
    WayLine,
};

mod words;

pub(super) use words::summary;

impl Present for Answer<DiveResult> {
    fn summary(&self, units: UnitSystem) -> String {
        words::summary(self, units)
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric))
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mass = |value: f64| show(value, Dimension::Mass, units);
        let volume = |value: f64| show(value, Dimension::Volume, units);
        let mut sheet = Sheet::titled(format!("{}: {}", self.name, self.summary(units)));
        sheet.heading("Flooded and wholly under water").values([
            ("water", self.water.in_units(units)),
            (
                "depth, pressure over the surface's",
                format!(
                    "{}, {}",
                    show(self.depth_m, Dimension::Length, units),
                    show(self.pressure_over_surface_pa, Dimension::Pressure, units)
                ),
            ),
            ("air cylinders", cylinder_words(self.cylinders).to_owned()),
            ("mass, water inside not counted", mass(self.mass_kg)),
            (
                "solid and sealed volume",
                format!(
                    "{}, {} of water",
                    volume(self.displaced_volume_m3),
                    mass(self.displacement_kg)
                ),
            ),
            (
                "weight in water",
                with_spread(
                    self.hangs.weight_in_water_kg,
                    self.weight_in_water_spread_kg,
                    units,
                ),
            ),
            (
                "centre of gravity x, y, z",
                show_point(self.centre_of_gravity_m, units),
            ),
            (
                "centre of buoyancy x, y, z",
                self.centre_of_buoyancy_m
                    .map_or_else(|| "none".to_owned(), |at| show_point(at, units)),
            ),
            ("CB over CG, craft level", gap(&self.hangs, units)),
            ("hangs, pitch and heel", angles(&self.hangs, units)),
            (
                "moment that turns it back",
                a_degree(self.righting_n_m_per_deg, units),
            ),
            (
                if self.hangs.weight_in_water_kg >= 0.0 {
                    "one line up would hold it level at"
                } else {
                    "one weight would hold it level at"
                },
                self.level_push_at_m
                    .map_or_else(|| "anywhere".to_owned(), |at| show_point(at, units)),
            ),
            (
                "mass with the water inside",
                format!(
                    "{} ({} of water)",
                    mass(self.mass_with_water_kg),
                    volume(self.entrained_water_m3)
                ),
            ),
        ]);
        ballast(&mut sheet, self, units);
        let header = [
            "water",
            "cylinders",
            "depth",
            "pressure",
            "as it is",
            "to trim it",
            "at x, y, z",
            "with the ballast above",
            "pitch, heel then",
        ];
        let rows = self.card.iter().map(|line| card_row(line, units)).collect();
        sheet
            .heading("Card: water, cylinders, depth (pressure over the surface's)")
            .grid(&header, rows);
        if !self.bags.is_empty() {
            let rows = self
                .bags
                .iter()
                .map(|bag| {
                    vec![
                        show(bag.depth_m, Dimension::Length, units),
                        mass(bag.weight_in_water_kg),
                        volume(bag.volume_m3),
                        volume(bag.surface_volume_m3),
                        mass(bag.surface_lift_kg),
                    ]
                })
                .collect();
            sheet
                .heading("Soft gas bag that holds it up as it is")
                .grid(
                    &[
                        "depth",
                        "weight there",
                        "gas there",
                        "the same gas at the surface",
                        "lift left over there",
                    ],
                    rows,
                );
        }
        if !self.air.is_empty() {
            let rows = self.air.iter().map(|line| air_row(line, units)).collect();
            sheet
                .heading("Air cylinders in the trimmed craft, from the reserve to full")
                .grid(
                    &[
                        "cylinder",
                        "air when full",
                        "used",
                        "at x, y, z",
                        "pitch, heel change",
                        "emptying keeps it level with its centre at x, y",
                    ],
                    rows,
                );
        }
        let rows = (0..)
            .zip(&self.way_down)
            .map(|(number, line)| way_row(line, self.weakest == Some(number), units))
            .collect();
        sheet
            .heading("The way down with the ballast aboard (held: level, by a force through its centre of gravity)")
            .grid(
                &[
                    "state",
                    "pitch",
                    "turns back, across",
                    "fore and aft",
                    "GM across",
                    "",
                ],
                rows,
            );
        let rows = self
            .things
            .iter()
            .map(|thing| {
                vec![
                    thing.name.clone(),
                    mass(thing.mass_kg),
                    match (&thing.dry_in, thing.volume_m3) {
                        (Some(space), _) => format!("dry in {space}"),
                        (None, Some(volume_m3)) => volume(volume_m3),
                        (None, None) => "NOT KNOWN".to_owned(),
                    },
                    with_spread(
                        thing.weight_in_water_kg,
                        thing.weight_in_water_spread_kg,
                        units,
                    ),
                    thing
                        .submerged_factor
                        .map_or_else(String::new, |share| format!("{share:+.2}")),
                ]
            })
            .collect();
        sheet.heading("Things under water").grid(
            &[
                "what",
                "mass",
                "volume",
                "weight in water",
                "share of its mass",
            ],
            rows,
        );
        sheet.doubts(doubts(&self.doubts, units));
        sheet.cautions(&cautions(&self.cautions, units));
        sheet
    }
}

fn ballast(sheet: &mut Sheet, result: &DiveResult, units: UnitSystem) {
    let balance = &result.balance;
    sheet.heading("Ballast").values([
        (
            "wanted",
            if balance.wanted_lift_kg > 0.0 {
                format!(
                    "{} of lift, level",
                    show(balance.wanted_lift_kg, Dimension::Mass, units)
                )
            } else {
                "neutral and level".to_owned()
            },
        ),
        (
            if balance.is_grid {
                "may go in the rectangle"
            } else {
                "may go on the line"
            },
            format!(
                "{} to {}",
                show_point(balance.room_m[0], units),
                show_point(balance.room_m[1], units)
            ),
        ),
        ("in one piece", one_piece(balance, units)),
        (
            "CB over CG then",
            format!(
                "{} ({} asked for: borrowed at second hand from class rules for manned submersibles, not read)",
                gap(&balance.hangs, units),
                show(result.least_gap_m, Dimension::Length, units)
            ),
        ),
        ("hangs then, pitch and heel", angles(&balance.hangs, units)),
        (
            "or a piece at each end of the line",
            balance.ends.as_ref().map_or_else(
                || "only on a line that runs along or across".to_owned(),
                |[first, last]| format!("{}; {}", end(first, units), end(last, units)),
            ),
        ),
        (
            "hangs with those",
            balance.hangs_with_ends.as_ref().map_or_else(
                || "-".to_owned(),
                |hangs| format!("{}; CB over CG {}", angles(hangs, units), gap(hangs, units)),
            ),
        ),
    ]);
}

fn one_piece(balance: &BalanceResult, units: UnitSystem) -> String {
    let Some(at) = balance.at_m else {
        return "nothing to add".to_owned();
    };
    let amount = amount(balance.material, balance.mass_kg, balance.volume_m3, units);
    let right = match balance.right_place_m {
        Some(right) if !balance.levels => format!(
            ", the nearest place; level would be {}, outside",
            show_point(right, units)
        ),
        _ => String::new(),
    };
    format!("{amount} at {}{right}", show_point(at, units))
}

fn end(piece: &EndPiece, units: UnitSystem) -> String {
    format!(
        "{} at {}",
        amount(piece.material, piece.mass_kg, piece.volume_m3, units),
        show_point(piece.at_m, units)
    )
}

fn amount(material: Material, mass_kg: f64, volume_m3: f64, units: UnitSystem) -> String {
    match material {
        Material::Lead => format!("{} of lead", show(mass_kg, Dimension::Mass, units)),
        Material::Foam => format!("{} of foam", show(volume_m3, Dimension::Volume, units)),
        Material::Nothing => "nothing".to_owned(),
    }
}

/// "sinks 3.2 kg" or "lifts 1.1 kg".
fn weight(weight_kg: f64, units: UnitSystem) -> String {
    let word = if weight_kg >= 0.0 { "sinks" } else { "lifts" };
    format!("{word} {}", show(weight_kg.abs(), Dimension::Mass, units))
}

/// The same with its ±, where it has one.
fn with_spread(weight_kg: f64, spread_kg: f64, units: UnitSystem) -> String {
    if spread_kg > 0.0 {
        let spread = show(spread_kg, Dimension::Mass, units);
        format!("{} ± {spread}", weight(weight_kg, units))
    } else {
        weight(weight_kg, units)
    }
}

fn gap(hangs: &Hangs, units: UnitSystem) -> String {
    let over = show(hangs.gap_m, Dimension::Length, units);
    if hangs.gap_m < 0.0 {
        format!("{over}: CB UNDER CG, it turns over")
    } else {
        over
    }
}

fn angles(hangs: &Hangs, units: UnitSystem) -> String {
    let angle = |value: f64| show(value, Dimension::Angle, units);
    match (hangs.pitch_deg, hangs.heel_deg) {
        (Some(pitch), Some(heel)) => format!("{}, {}", angle(pitch), angle(heel)),
        _ => "as it is put".to_owned(),
    }
}

fn cylinder_words(state: Option<CylinderState>) -> &'static str {
    match state {
        Some(CylinderState::Full) => "full",
        Some(CylinderState::Reserve) => "at the reserve",
        None => "-",
    }
}

fn card_row(line: &CardLine, units: UnitSystem) -> Vec<String> {
    let (material, kg) = if line.foam_m3 > 0.0 {
        (Material::Foam, 0.0)
    } else if line.lead_kg > 0.0 {
        (Material::Lead, line.lead_kg)
    } else {
        (Material::Nothing, 0.0)
    };
    let place = line.at_m.map_or_else(String::new, |at| {
        let note = if line.levels { "" } else { " (not level)" };
        format!("{}{note}", show_point(at, units))
    });
    vec![
        line.water.clone(),
        cylinder_words(line.cylinders).to_owned(),
        show(line.depth_m, Dimension::Length, units),
        show(line.pressure_over_surface_pa, Dimension::Pressure, units),
        weight(line.weight_in_water_kg, units),
        amount(material, kg, line.foam_m3, units),
        place,
        weight(line.with_ballast.weight_in_water_kg, units),
        angles(&line.with_ballast, units),
    ]
}

fn air_row(line: &AirLine, units: UnitSystem) -> Vec<String> {
    vec![
        line.name.clone(),
        show(line.air_full_kg, Dimension::Mass, units),
        show(line.air_used_kg, Dimension::Mass, units),
        show_point(line.at_m, units),
        format!(
            "{}, {}",
            show(line.pitch_change_deg, Dimension::Angle, units),
            show(line.heel_change_deg, Dimension::Angle, units)
        ),
        line.steady_at_m
            .map(|value| show(value, Dimension::Length, units))
            .join(", "),
    ]
}

fn way_row(line: &WayLine, weakest: bool, units: UnitSystem) -> Vec<String> {
    let head_under = line.heads.iter().any(|head| head.mouth_m < 0.0);
    let notes = [
        (weakest, "WEAKEST"),
        (line.turns_over(), "turns over"),
        (head_under, "head under"),
    ];
    let notes: Vec<&str> = notes
        .into_iter()
        .filter_map(|(is_so, note)| is_so.then_some(note))
        .collect();
    vec![
        when(&line.when(), Say(units)),
        line.pitch_deg
            .map_or_else(String::new, |pitch| show(pitch, Dimension::Angle, units)),
        a_degree(line.righting_transverse_n_m, units),
        a_degree(line.righting_longitudinal_n_m, units),
        line.gm_transverse_m
            .map_or_else(String::new, |gm| show(gm, Dimension::Length, units)),
        notes.join(", "),
    ]
}

/// The moment that a lean of one degree calls up.
fn a_degree(n_m: f64, units: UnitSystem) -> String {
    format!("{} a degree", Say(units).of(n_m, Metric::NewtonMetre, 2))
}
