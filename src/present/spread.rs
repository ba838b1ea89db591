//! The table of the spread of the sills.
use super::cell::{angle, cells, energy, fraction, length, mass};
use super::words::{Words, told_first};
use super::{Cell, Present, Sheet};
use crate::quantity::UnitSystem;
use crate::study::{Answer, Band, MarginBand, SpreadResult, direction_in_words};

mod words;

impl Present for Answer<SpreadResult> {
    fn summary(&self, units: UnitSystem) -> String {
        told_first(self.as_it_lies.as_ref(), words::summary(self, units))
    }

    fn bands(&self) -> &'static [&'static str] {
        &["mass_kg", "heel_deg", "pitch_deg", "freeboard_m", "band"]
    }

    fn words(&self) -> Words {
        Words::of(self, self.summary(UnitSystem::Metric))
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::answering(self, units);
        let rows = sills(self)
            .into_iter()
            .chain(margins(self))
            .chain(rest(self));
        sheet
            .heading("Height of each sill above the water, over all draws")
            .grid(
                &["", "5th percentile", "median", "95th", "fails its yardstick", "under water"],
                rows,
            )
            .notes(&[format!(
                "{} draws with seed {}; in {} it sinks or finds no rest, and they count as the worst; heel and pitch are of the others",
                self.draws, self.seed, self.draws_lost
            ), "a ± is two standard deviations: about 95 of 100 lie within; all are independent but those of what was measured together".to_owned()]);
        // Of a craft that sinks nothing moves it.
        if !self.causes.is_empty() {
            let causes = self.causes.iter();
            sheet
                .heading("What moves the lowest sill, either way")
                .grid(
                    &["", "share of its variance by itself"],
                    causes.map(|cause| cells![&cause.name, fraction(cause.share)]),
                );
        }
        sheet.wary_of(self)
    }
}

/// A row of a band, with what stands behind it.
fn row(
    result: &SpreadResult,
    name: &str,
    band: Band,
    quantity: fn(f64) -> Cell,
    chances: [Option<f64>; 2],
) -> Vec<Cell> {
    let lost = f64::from(result.draws_lost) / f64::from(result.draws.max(1));
    let ends = band.iter().zip([0.05, 0.5, 0.95]);
    let ends = ends.map(|(value, share)| match value {
        Some(value) => quantity(*value),
        None if lost < share => "never".into(),
        None if result.share_sunk > 0.0 => "sinks".into(),
        None => "no rest".into(),
    });
    let mut row = cells![name];
    row.extend(ends);
    row.extend(chances.map(|chance| chance.map(fraction).into()));
    row
}

fn sills(result: &SpreadResult) -> Vec<Vec<Cell>> {
    let openings = result.openings.iter().map(|opening| {
        let chances = [opening.chance_of_failing, opening.chance_under_water];
        let band = opening.freeboard_m;
        row(result, &opening.name, band, length, chances.map(Some))
    });
    let any = (result.openings.len() > 1).then(|| {
        let [fails, under] = [result.chance_any_fails, result.chance_any_under_water].map(fraction);
        cells!["any of them", "", "", "", fails, under]
    });
    openings.chain(any).collect()
}

fn margins(result: &SpreadResult) -> impl Iterator<Item = Vec<Cell>> {
    let knock = match &result.least_knock_first {
        Some(first) => format!("least knock ({first} first)"),
        None => "least knock".to_owned(),
    };
    let lean = result.worst_lean_bearing_deg.map(|bearing| {
        let way = direction_in_words(bearing);
        format!("least lean, any way (as stated {way})")
    });
    let of = |name: &str, margin: &Option<MarginBand>, quantity| {
        let margin = margin.as_ref()?;
        let chances = [Some(margin.chance_of_failing), None];
        Some(row(result, name, margin.band, quantity, chances))
    };
    let knock = of(&knock, &result.least_knock, energy);
    let lean = of(&lean.unwrap_or_default(), &result.worst_lean, angle);
    knock.into_iter().chain(lean)
}

/// What the draws float with and how they lie.
fn rest(result: &SpreadResult) -> [Vec<Cell>; 3] {
    [
        row(result, "mass aboard", result.mass_kg, mass, [None; 2]),
        row(result, "heel", result.heel_deg, angle, [None; 2]),
        row(result, "pitch", result.pitch_deg, angle, [None; 2]),
    ]
}
