//! The table of boats side by side.
use super::cautions::cautions;
use super::doubts::doubts;
use super::words::Words;
use super::{Present, Sheet};
use crate::quantity::{Dimension, UnitSystem, show};
use crate::study::{
    CompareResult, CompareRow, CraftState, FloodedRow, Judgement, SpaceEnd, StepEffect, StepLine,
    Steps, SwampEnd, Verdict,
};

mod words;

/// The three craft in one hull, with what they are called here.
const STATES: [(CraftState, &str); 3] = [
    (CraftState::Dry, "Dry, at rest"),
    (
        CraftState::Full,
        "Full of water, all that is not sealed open to the sea, without whoever is aboard",
    ),
    (
        CraftState::Dived,
        "Dived: wholly under, flooded, everything aboard",
    ),
];

impl Present for CompareResult {
    fn summary(&self, units: UnitSystem) -> String {
        words::summary(self, units)
    }

    fn words(&self) -> Words {
        Words::default()
            .and("/summary", self.summary(UnitSystem::Metric))
            .and_cautions(&self.cautions)
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::titled(format!(
            "{}: {}",
            self.names.join(" → "),
            self.summary(units)
        ));
        let header: Vec<&str> = std::iter::once("")
            .chain(self.names.iter().map(String::as_str))
            .chain(self.names.iter().skip(1).map(|_| "change"))
            .collect();
        for (state, heading) in STATES {
            let rows = self.rows.iter().filter(|row| row.state == state);
            let rows = rows.map(|row| row_cells(row, units)).collect();
            sheet
                .heading(&format!("{heading} (changes from the first)"))
                .grid(&header, rows);
        }
        let judged = |verdict: &Option<Verdict>| {
            verdict.map_or_else(String::new, |verdict| format!(": {verdict}"))
        };
        let knock_ends = self.knock_ends.iter().zip(&self.knock_verdicts);
        let knock_ends =
            knock_ends.map(|(end, verdict)| end_in_words(*end).to_owned() + &judged(verdict));
        let rows = self
            .openings
            .iter()
            .map(|row| {
                std::iter::once(row.name.clone())
                    .chain(row.freeboard_m.iter().map(|value| {
                        value.map_or_else(|| "–".to_owned(), |v| show(v, Dimension::Length, units))
                    }))
                    .collect()
            })
            .chain(std::iter::once(
                std::iter::once("after a knock of 20 mm for 3 s".to_owned())
                    .chain(knock_ends)
                    .collect(),
            ))
            .chain(self.least_knock_first.iter().any(Option::is_some).then(|| {
                let cells = self.least_knock_first.iter();
                let cells = cells.map(|first| first.clone().unwrap_or_else(|| "–".to_owned()));
                std::iter::once("what it does before the least knock floods it".to_owned())
                    .chain(cells)
                    .collect()
            }))
            .collect();
        sheet
            .heading("Openings: height of each sill over the water at rest")
            .grid(&header[..=self.names.len()], rows);
        let rows = self.flooded.iter().map(|row| flooded_cells(row, units));
        sheet
            .heading("One compartment open to the sea: how it ends (changes from the first)")
            .grid(&header, rows.collect());
        if let Some(steps) = &self.steps {
            steps_sheet(&mut sheet, steps, units);
        }
        for (name, list) in self.names.iter().zip(&self.mesh_doubts) {
            let named = doubts(list, units).into_iter();
            sheet.doubts(named.map(|doubt| format!("{name}: {doubt}")).collect());
        }
        sheet.cautions(&cautions(&self.cautions, units));
        sheet
    }
}

fn steps_sheet(sheet: &mut Sheet, steps: &Steps, units: UnitSystem) {
    if steps.lines.is_empty() {
        let nothing = "The first and the last boat file say the same.";
        sheet.heading("Each change").notes(&[nothing]);
        return;
    }
    let whole = ("all together", steps.whole.as_ref());
    let in_order = steps.lines.iter().map(|line| StepRow {
        words: &line.words,
        effect: line.in_order.as_ref(),
        ends: line
            .then
            .as_ref()
            .map_or("", |then| ends(!then.floats, then.capsizes)),
        judgement: line.judgement,
    });
    steps_grid(
        sheet.heading("What each change does in the order written, after those before it"),
        in_order,
        &[whole],
        units,
    );
    let alone = steps.lines.iter().map(|line| StepRow {
        words: &line.words,
        effect: line.alone.as_ref(),
        ends: ends(line.sinks_alone, line.capsizes_alone),
        judgement: line.judgement_alone,
    });
    steps_grid(
        sheet.heading("What each change does alone, on the first boat"),
        alone,
        &[("sum of these", steps.sum_of_single.as_ref()), whole],
        units,
    );
    let cannot: Vec<String> = steps.lines.iter().flat_map(why_not).collect();
    if !cannot.is_empty() {
        sheet
            .heading("Could not be floated by itself")
            .notes(&cannot);
    }
}

fn ends(sinks: bool, capsizes: bool) -> &'static str {
    match (sinks, capsizes) {
        (true, _) => "SINKS",
        (false, true) => "CAPSIZES",
        (false, false) => "",
    }
}

fn why_not(line: &StepLine) -> impl Iterator<Item = String> + '_ {
    let whys = line.cannot.iter();
    whys.map(|why| format!("{}: {why}", line.words))
}

fn judged(judgement: Judgement) -> &'static str {
    match judgement {
        Judgement::Helps => "helps",
        Judgement::Hurts => "hurts",
        Judgement::BothWays => "helps and hurts",
        Judgement::Nothing => "no matter",
    }
}

/// What one change does, and how that is judged.
struct StepRow<'a> {
    words: &'a str,
    effect: Option<&'a StepEffect>,
    /// "SINKS", "CAPSIZES" or nothing.
    ends: &'static str,
    judgement: Option<Judgement>,
}

/// A table of changes, and of their sums under them.
fn steps_grid<'a>(
    sheet: &mut Sheet,
    changes: impl Iterator<Item = StepRow<'a>>,
    sums: &[(&'a str, Option<&'a StepEffect>)],
    units: UnitSystem,
) {
    let header = [
        "",
        "mass",
        "sinks by",
        "heel",
        "pitch",
        "lowest sill",
        "smallest lean",
        "least knock",
        "",
    ];
    let sums = sums.iter().map(|&(words, effect)| StepRow {
        words,
        effect,
        ends: "",
        judgement: None,
    });
    let rows = changes.chain(sums).map(|row| row.cells(units)).collect();
    sheet.grid(&header, rows);
}

impl StepRow<'_> {
    fn cells(&self, units: UnitSystem) -> Vec<String> {
        let cell = |value: Option<f64>, dimension| signed(value, dimension, units);
        let cells = match self.effect {
            Some(effect) => [
                cell(Some(effect.mass_kg), Dimension::Mass),
                cell(effect.sinkage_m, Dimension::Length),
                cell(effect.heel_deg, Dimension::Angle),
                cell(effect.pitch_deg, Dimension::Angle),
                cell(effect.lowest_sill_m, Dimension::Length),
                cell(effect.worst_lean_deg, Dimension::Angle),
                cell(effect.least_knock_j, Dimension::Energy),
            ],
            None => std::array::from_fn(|_| "–".to_owned()),
        };
        let said = match self.ends {
            "" => self.judgement.map_or("", judged),
            ends => ends,
        };
        std::iter::once(self.words.to_owned())
            .chain(cells)
            .chain(std::iter::once(said.to_owned()))
            .collect()
    }
}

/// A change with its sign.
fn signed(change: Option<f64>, dimension: Dimension, units: UnitSystem) -> String {
    match change {
        Some(change) if change > 0.0 => format!("+{}", show(change, dimension, units)),
        Some(change) if change < 0.0 => show(change, dimension, units),
        Some(_) => "none".to_owned(),
        None => "–".to_owned(),
    }
}

fn end_in_words(end: Option<SwampEnd>) -> &'static str {
    match end {
        Some(SwampEnd::Recovers) => "comes up again",
        Some(SwampEnd::AfloatSwamped) => "afloat, swamped",
        Some(SwampEnd::Sunk) => "SINKS",
        Some(SwampEnd::NotSettled) => "NOT SETTLED",
        None => "sinks at rest",
    }
}

/// "afloat, leaning 3.0°, sill 120 mm: clear" of each boat, then whether that is better.
fn flooded_cells(row: &FloodedRow, units: UnitSystem) -> Vec<String> {
    let cell = |end: &Option<SpaceEnd>| {
        let Some(end) = end else {
            return "–".to_owned();
        };
        let mut said = match (end.floats, end.upright) {
            (false, _) => "SINKS".to_owned(),
            (true, false) => "ON ITS SIDE OR END".to_owned(),
            (true, true) => "afloat".to_owned(),
        };
        if let Some(lean_deg) = end.lean_deg {
            said += &format!(", leaning {}", show(lean_deg, Dimension::Angle, units));
        }
        if let Some(sill_m) = end.sill_m {
            said += &format!(", sill {}", show(sill_m, Dimension::Length, units));
        }
        if let Some(verdict) = end.verdict {
            said += &format!(": {verdict}");
        }
        said
    };
    let better = row.better.iter().skip(1).map(|better| match better {
        1 => "better".to_owned(),
        -1 => "worse".to_owned(),
        _ => String::new(),
    });
    std::iter::once(row.compartment.clone())
        .chain(row.ends.iter().map(cell))
        .chain(better)
        .collect()
}

fn row_cells(row: &CompareRow, units: UnitSystem) -> Vec<String> {
    let dimension = match row.key.rsplit('_').next() {
        Some("kg") => Dimension::Mass,
        Some("deg") => Dimension::Angle,
        Some("m3") => Dimension::Volume,
        Some("j") => Dimension::Energy,
        _ => Dimension::Length,
    };
    let cell =
        |value: &Option<f64>| value.map_or_else(|| "–".to_owned(), |v| show(v, dimension, units));
    let judged = |(boat, change): (usize, &Option<f64>)| {
        let said = match row.judged(boat) {
            1 => ", better",
            -1 => ", worse",
            _ => "",
        };
        format!("{}{said}", signed(*change, dimension, units))
    };
    std::iter::once(row.name.clone())
        .chain(row.values.iter().map(cell))
        .chain(row.changes.iter().enumerate().skip(1).map(judged))
        .collect()
}
