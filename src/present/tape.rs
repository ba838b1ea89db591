//! The table of tape marks.
use super::cell::{angle, cells, length_by, mass, or_dash, plus_minus, point};
use super::words::{Words, told_first};
use super::{Cell, Present, Sheet};
use crate::quantity::UnitSystem;
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
        let length = length_by(TAPE_STEP_M);
        let fine = length_by(TAPE_STEP_M / 10.0);
        let mut sheet = Sheet::answering(self, units);
        let scan = self
            .scan_band
            .as_ref()
            .map(|band| ", " + plus_minus(fine(band.freeboard_m)) + " for the scan's error");
        sheet
            .heading("Afloat, dry, at rest")
            .value("mass aboard and hull", mass(self.mass_kg))
            .value("water", &self.water)
            .value("heel, starboard down +", angle(self.heel_deg))
            .value("pitch, bow up +", angle(self.pitch_deg))
            .value(
                "the water may stand off by",
                plus_minus(fine(self.masses_band_m)) + " for the masses' ±" + scan,
            )
            .value(
                "stem: foremost point of the hull, x, y, z",
                point(self.stem_m),
            );
        let mut notes: Vec<String> = Vec::new();
        let mut rows = Vec::new();
        for station in &self.stations {
            for side in Side::BOTH {
                let mark = station.of(side);
                rows.push(row(station.from_stem_m, side, mark));
                for note in &mark.notes {
                    let here = length(station.from_stem_m).text(units);
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
        sheet.wary_of(self)
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

fn row(from_stem_m: f64, side: Side, mark: &TapeMark) -> Vec<Cell> {
    let length = length_by(TAPE_STEP_M);
    cells![
        (side == Side::Port).then(|| length(from_stem_m)),
        side.word(),
        or_dash(mark.below_rim_m.map(length)),
        or_dash(mark.above_keel_m.map(length)),
        or_dash(mark.straight_down_m.map(length)),
        or_dash(mark.half_girth_m.map(length)),
        mark.rim.map(rim_in_words),
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
