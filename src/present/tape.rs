//! The table of tape marks.
use super::cautions::cautions;
use super::doubts::doubts;
use super::words::{Words, told_first};
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show, show_point, show_with};
use crate::study::{Answer, RimKind, Side, TapeMark, TapeResult};

mod words;

/// Tapes are read to this, m.
const TAPE_STEP_M: f64 = 0.001;

impl Present for Answer<TapeResult> {
    fn summary(&self, units: UnitSystem) -> String {
        told_first(self.as_it_lies.as_ref(), words::summary(self, units))
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric))
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let length = |value: f64| show_with(value, Dimension::Length, TAPE_STEP_M, units);
        let angle = |value: f64| show(value, Dimension::Angle, units);
        let mut sheet = Sheet::titled(format!("{}: {}", self.name, self.summary(units)));
        let fine = |value: f64| show_with(value, Dimension::Length, TAPE_STEP_M / 10.0, units);
        let band = match &self.scan_band {
            Some(band) => format!(
                "± {} for the masses' ±, ± {} for the scan's error",
                fine(self.masses_band_m),
                fine(band.freeboard_m)
            ),
            None => format!("± {} for the masses' ±", fine(self.masses_band_m)),
        };
        sheet.heading("Afloat, dry, at rest").values([
            (
                "mass aboard and hull",
                show(self.mass_kg, Dimension::Mass, units),
            ),
            ("water", self.water.in_units(units)),
            ("heel, starboard down +", angle(self.heel_deg)),
            ("pitch, bow up +", angle(self.pitch_deg)),
            ("the water may stand off by", band),
            (
                "stem: foremost point of the hull, x, y, z",
                show_point(self.stem_m, units),
            ),
        ]);
        let mut notes: Vec<String> = Vec::new();
        let mut rows = Vec::new();
        for station in &self.stations {
            for side in Side::BOTH {
                let mark = station.of(side);
                rows.push(row(&length(station.from_stem_m), side, mark, &length));
                for note in &mark.notes {
                    let here = length(station.from_stem_m);
                    notes.push(format!("{here}, {}: {note}.", side.word()));
                }
            }
        }
        let header = [
            "from the stem",
            "side",
            "below the rim",
            "above the keel",
            "straight down",
            "keel to rim",
            "tape from",
        ];
        sheet
            .heading("The waterline by tape, along the skin in a plane square to the boat's length")
            .grid(&header, rows)
            .notes(&[
                "From the stem: level along the boat's middle line, aft from a plumb line at its foremost point, with the boat standing as it is drawn (not on its trim).",
                "Below the rim and above the keel: along the outside of the skin; the keel is the middle of the bottom. Straight down: from the rim, square to the base line. Keel to rim: the half-girth, to check hull against mesh.",
            ]);
        if !notes.is_empty() {
            sheet
                .heading("Where a number is missing or out of the ordinary")
                .notes(&merged(&notes));
        }
        sheet.doubts(doubts(&self.doubts, units));
        sheet.cautions(&cautions(&self.cautions, units));
        sheet
    }

    fn rows(&self) -> Option<Vec<Vec<String>>> {
        let header = [
            "from_stem_m",
            "x_m",
            "side",
            "below_rim_m",
            "above_keel_m",
            "straight_down_m",
            "half_girth_m",
            "crossings",
            "mark_x_m",
            "mark_y_m",
            "mark_z_m",
            "notes",
        ];
        let mut rows = vec![header.map(str::to_owned).to_vec()];
        let number = |value: Option<f64>| value.map_or_else(String::new, |value| value.to_string());
        for station in &self.stations {
            for side in Side::BOTH {
                let mark = station.of(side);
                let place = |axis: usize| number(mark.mark_m.map(|at| at[axis]));
                rows.push(vec![
                    station.from_stem_m.to_string(),
                    station.x_m.to_string(),
                    side.word().to_owned(),
                    number(mark.below_rim_m),
                    number(mark.above_keel_m),
                    number(mark.straight_down_m),
                    number(mark.half_girth_m),
                    mark.crossings.to_string(),
                    place(0),
                    place(1),
                    place(2),
                    mark.notes.join("; "),
                ]);
            }
        }
        Some(rows)
    }
}

fn row(
    from_stem: &str,
    side: Side,
    mark: &TapeMark,
    length: &impl Fn(f64) -> String,
) -> Vec<String> {
    let maybe = |value: Option<f64>| value.map_or_else(|| "–".to_owned(), length);
    vec![
        match side {
            Side::Port => from_stem.to_owned(),
            Side::Starboard => String::new(),
        },
        side.word().to_owned(),
        maybe(mark.below_rim_m),
        maybe(mark.above_keel_m),
        maybe(mark.straight_down_m),
        maybe(mark.half_girth_m),
        mark.rim.map_or("", rim_in_words).to_owned(),
    ]
}

/// What the tape is hooked to.
fn rim_in_words(rim: RimKind) -> &'static str {
    match rim {
        RimKind::OpenEdge => "edge of the skin",
        RimKind::DeckEdge => "edge of the deck",
        RimKind::Recess => "edge of a recess",
        RimKind::Middle => "top, at the middle",
    }
}

/// One line for both sides where the same is to be said of them.
fn merged(notes: &[String]) -> Vec<String> {
    let mut merged: Vec<String> = Vec::new();
    for note in notes {
        let twin = note.replacen("starboard:", "port:", 1);
        match merged
            .iter_mut()
            .find(|earlier| **earlier == twin && *note != twin)
        {
            Some(earlier) => *earlier = twin.replacen("port:", "both sides:", 1),
            None => merged.push(note.clone()),
        }
    }
    merged
}
