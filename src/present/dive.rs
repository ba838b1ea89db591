//! The table of a dived craft.
use super::cautions::when;
use super::cell::{
    angle, cells, fixed, length, length_beside, mass, point, point_or_none, quantity_in, volume,
};
use super::say::Say;
use super::words::Words;
use super::{Cell, Present, Sheet};
use crate::quantity::{Dimension, Metric, UnitSystem};
use crate::study::{
    AirLine, Answer, BagLine, BalanceResult, CardLine, CylinderState, DiveResult, EndPiece, Hangs,
    Material, ThingLine, WayLine,
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
        let mut sheet = Sheet::answering(self, units);
        flooded(&mut sheet, self);
        ballast(&mut sheet, self);
        card(&mut sheet, &self.card);
        gas_bags(&mut sheet, &self.bags);
        air_cylinders(&mut sheet, &self.air);
        way_down(&mut sheet, self);
        things(&mut sheet, &self.things);
        sheet.wary_of(self)
    }
}

fn flooded(sheet: &mut Sheet, result: &DiveResult) {
    let hangs = &result.hangs;
    let push = match hangs.weight_in_water_kg {
        sinks if sinks >= 0.0 => "one line up would hold it level at",
        _ => "one weight would hold it level at",
    };
    let push_at = result.level_push_at_m;
    sheet
        .heading("Flooded and wholly under water")
        .value("water", &result.water)
        .value(
            "depth, pressure over the surface's",
            length(result.depth_m).and(pressure(result.pressure_over_surface_pa)),
        )
        .value("air cylinders", cylinder_words(result.cylinders))
        .value("mass, water inside not counted", mass(result.mass_kg))
        .value(
            "solid and sealed volume",
            volume(result.displaced_volume_m3) + ", " + mass(result.displacement_kg) + " of water",
        )
        .value(
            "weight in water",
            with_spread(hangs.weight_in_water_kg, result.weight_in_water_spread_kg),
        )
        .value(
            "centre of gravity x, y, z",
            point(result.centre_of_gravity_m),
        )
        .value(
            "centre of buoyancy x, y, z",
            point_or_none(result.centre_of_buoyancy_m),
        )
        .value("CB over CG, craft level", gap(hangs, result))
        .value("hangs, pitch and heel", angles(hangs))
        .value(
            "moment that turns it back",
            a_degree(result.righting_n_m_per_deg),
        )
        .value(push, push_at.map_or_else(|| "anywhere".into(), point))
        .value(
            "mass with the water inside",
            mass(result.mass_with_water_kg)
                + " ("
                + volume(result.entrained_water_m3)
                + " of water)",
        );
}

fn ballast(sheet: &mut Sheet, result: &DiveResult) {
    let balance = &result.balance;
    let wanted = if balance.wanted_lift_kg > 0.0 {
        mass(balance.wanted_lift_kg) + " of lift, level"
    } else {
        "neutral and level".into()
    };
    let room = if balance.is_grid {
        "may go in the rectangle"
    } else {
        "may go on the line"
    };
    let [from, to] = balance.room_m.map(point);
    let ends = balance.ends.as_ref().map_or_else(
        || "only on a line that runs along or across".into(),
        |[first, last]| end(first) + "; " + end(last),
    );
    let least = Say(sheet.units).limit(result.least_gap_m, Metric::Millimetre);
    let hangs_with_ends = balance.hangs_with_ends.as_ref().map_or_else(
        || "-".into(),
        |hangs| angles(hangs) + "; CB over CG " + gap(hangs, result),
    );
    sheet
        .heading("Ballast")
        .value("wanted", wanted)
        .value(room, from.to(to))
        .value("in one piece", one_piece(balance))
        .value(
            "CB over CG then",
            gap(&balance.hangs, result)
                + " ("
                + least
                + " asked for: borrowed at second hand from class rules for manned submersibles, not read)",
        )
        .value("hangs then, pitch and heel", angles(&balance.hangs));
    if let Some(full) = result.full_when_trimmed_for_less() {
        sheet.value("with full cylinders then", weight(full.weight_in_water_kg));
    }
    sheet
        .value("or a piece at each end of the line", ends)
        .value("hangs with those", hangs_with_ends);
}

fn card(sheet: &mut Sheet, card: &[CardLine]) {
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
    sheet
        .heading("Card: water, cylinders, depth (pressure over the surface's)")
        .grid(&header, card.iter().map(card_row));
}

fn gas_bags(sheet: &mut Sheet, bags: &[BagLine]) {
    if bags.is_empty() {
        return;
    }
    let rows = bags.iter().map(|bag| {
        cells![
            length(bag.depth_m),
            mass(bag.weight_in_water_kg),
            volume(bag.volume_m3),
            volume(bag.surface_volume_m3),
            mass(bag.surface_lift_kg),
        ]
    });
    let header = [
        "depth",
        "weight there",
        "gas there",
        "the same gas at the surface",
        "lift left over there",
    ];
    sheet
        .heading("Soft gas bag that holds it up as it is")
        .grid(&header, rows);
}

fn air_cylinders(sheet: &mut Sheet, air: &[AirLine]) {
    if air.is_empty() {
        return;
    }
    let header = [
        "cylinder",
        "air when full",
        "used",
        "at x, y, z",
        "pitch, heel change",
        "emptying keeps it level with its centre at x, y",
    ];
    sheet
        .heading("Air cylinders in the trimmed craft, from the reserve to full")
        .grid(&header, air.iter().map(air_row));
}

fn way_down(sheet: &mut Sheet, result: &DiveResult) {
    let say = Say(sheet.units);
    let rows = (0..)
        .zip(&result.way_down)
        .map(|(number, line)| way_row(line, result.weakest == Some(number), say));
    let header = [
        "state",
        "pitch",
        "righting moment in heel",
        "in pitch",
        "GM across",
        "",
    ];
    sheet
        .heading("The way down with the ballast aboard (held: level, by a force through its centre of gravity)")
        .grid(&header, rows);
}

fn things(sheet: &mut Sheet, things: &[ThingLine]) {
    let rows = things.iter().map(|thing| {
        let share = thing.submerged_factor;
        cells![
            &thing.name,
            mass(thing.mass_kg),
            match (&thing.dry_in, thing.volume_m3) {
                (Some(space), _) => format!("dry in {space}").into(),
                (None, Some(m3)) => volume(m3),
                (None, None) => "NOT KNOWN".into(),
            },
            with_spread(thing.weight_in_water_kg, thing.weight_in_water_spread_kg),
            share.map(|share| fixed(format!("{share:+.2}"))),
        ]
    });
    let header = [
        "what",
        "mass",
        "volume",
        "weight in water",
        "weight in water ÷ weight in air",
    ];
    sheet.heading("Things under water").grid(&header, rows);
}

fn one_piece(balance: &BalanceResult) -> Cell {
    let Some(at) = balance.at_m else {
        return "nothing to add".into();
    };
    let piece = amount(balance.material, balance.mass_kg, balance.volume_m3) + " at " + point(at);
    match balance.right_place_m {
        Some(right) if !balance.levels => {
            piece + ", the nearest place; level would be " + point(right) + ", outside"
        }
        _ => piece,
    }
}

fn end(piece: &EndPiece) -> Cell {
    amount(piece.material, piece.mass_kg, piece.volume_m3) + " at " + point(piece.at_m)
}

fn amount(material: Material, mass_kg: f64, volume_m3: f64) -> Cell {
    match material {
        Material::Lead => mass(mass_kg) + " of lead",
        Material::Foam => volume(volume_m3) + " of foam",
        Material::Nothing => "nothing".into(),
    }
}

/// "sinks 3.2 kg" or "lifts 1.1 kg".
fn weight(weight_kg: f64) -> Cell {
    let word = if weight_kg >= 0.0 { "sinks " } else { "lifts " };
    word + mass(weight_kg.abs())
}

/// The same with its ±, where it has one.
fn with_spread(weight_kg: f64, spread_kg: f64) -> Cell {
    match weight(weight_kg) {
        weight if spread_kg > 0.0 => weight.give_or_take(mass(spread_kg)),
        weight => weight,
    }
}

fn gap(hangs: &Hangs, result: &DiveResult) -> Cell {
    match length_beside(hangs.gap_m, &[0.0, result.least_gap_m]) {
        under if hangs.gap_m < 0.0 => under + ": CB UNDER CG, it turns over",
        over => over,
    }
}

fn angles(hangs: &Hangs) -> Cell {
    match (hangs.pitch_deg, hangs.heel_deg) {
        (Some(pitch), Some(heel)) => angle(pitch).and(angle(heel)),
        _ => "as it is put".into(),
    }
}

fn pressure(pa: f64) -> Cell {
    Cell::quantity(pa, Dimension::Pressure)
}

fn cylinder_words(state: Option<CylinderState>) -> &'static str {
    match state {
        Some(CylinderState::Full) => "full",
        Some(CylinderState::Reserve) => "at the reserve",
        None => "-",
    }
}

fn card_row(line: &CardLine) -> Vec<Cell> {
    let (material, kg) = if line.foam_m3 > 0.0 {
        (Material::Foam, 0.0)
    } else if line.lead_kg > 0.0 {
        (Material::Lead, line.lead_kg)
    } else {
        (Material::Nothing, 0.0)
    };
    let place = line.at_m.map(point);
    cells![
        &line.water,
        cylinder_words(line.cylinders),
        length(line.depth_m),
        pressure(line.pressure_over_surface_pa),
        weight(line.weight_in_water_kg),
        amount(material, kg, line.foam_m3),
        match place {
            Some(place) if !line.levels => Some(place + " (not level)"),
            place => place,
        },
        weight(line.with_ballast.weight_in_water_kg),
        angles(&line.with_ballast),
    ]
}

fn air_row(line: &AirLine) -> Vec<Cell> {
    let [x, y] = line.steady_at_m.map(length);
    cells![
        &line.name,
        mass(line.air_full_kg),
        mass(line.air_used_kg),
        point(line.at_m),
        angle(line.pitch_change_deg).and(angle(line.heel_change_deg)),
        x.and(y),
    ]
}

fn way_row(line: &WayLine, weakest: bool, say: Say) -> Vec<Cell> {
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
    cells![
        when(&line.when(), say),
        line.pitch_deg.map(angle),
        a_degree(line.righting_transverse_n_m),
        a_degree(line.righting_longitudinal_n_m),
        line.gm_transverse_m.map(length),
        notes.join(", "),
    ]
}

/// The moment that a lean of one degree calls up.
fn a_degree(n_m: f64) -> Cell {
    quantity_in(n_m, Metric::NewtonMetre, 2) + " a degree"
}
