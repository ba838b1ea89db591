//! The table of boats side by side.
use std::iter::once;

use super::cautions::cautions;
use super::cell::{angle_beside, length, length_beside, or_dash, signed};
use super::say::Say;
use super::words::Words;
use super::{Cell, Present, Sheet};
use crate::quantity::{Dimension, UnitSystem};
use crate::study::{
    CompareResult, CompareRow, CraftState, Doubt, FloodedRow, Judgement, Knocked, SpaceEnd,
    StepEffect, StepLine, Steps, SwampEnd,
};

mod words;

/// The three craft in one hull, with what they are called here.
const STATES: [(CraftState, &str); 3] = [
    (CraftState::Dry, "Dry, at rest"),
    (
        CraftState::Full,
        "Full of water, all that is not sealed open to the water outside, without whoever is aboard",
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
        let title = format!("{}: {}", self.names.join(" → "), self.summary(units));
        let mut sheet = Sheet::titled(title, units);
        let header: Vec<&str> = once("")
            .chain(self.names.iter().map(String::as_str))
            .chain(self.names.iter().skip(1).map(|_| "change"))
            .collect();
        for (state, heading) in STATES {
            let rows = self.rows.iter().filter(|row| row.state == state);
            let rows = rows.map(row_cells);
            sheet
                .heading(&format!("{heading} (changes from the first)"))
                .grid(&header, rows);
        }
        let knock_ends = self.knock_ends.iter().zip(&self.knock_verdicts);
        let knock_ends = knock_ends.map(|(end, verdict)| {
            let verdict = verdict.map(|verdict| format!(": {verdict}"));
            Cell::from(end_in_words(*end)) + verdict
        });
        let sills = self.openings.iter().map(|row| {
            let sills = row.freeboard_m.iter();
            labelled(&row.name, sills.map(|sill| or_dash(sill.map(length))))
        });
        let knock = Knocked::default();
        let knocked = format!(
            "after a knock of {} for {:.0} s",
            Say(units).mm(knock.under_m),
            knock.held_s
        );
        let knocked = labelled(&knocked, knock_ends);
        let firsts = self.least_knock_first.iter();
        let firsts = firsts.clone().any(Option::is_some).then(|| {
            labelled(
                "what it does before the least knock floods it",
                firsts.map(|first| or_dash(first.as_ref().map(Cell::from))),
            )
        });
        let rows = sills.chain([knocked]).chain(firsts);
        sheet
            .heading("Openings: height of each sill above the water at rest")
            .grid(&header[..=self.names.len()], rows);
        sheet
            .heading(
                "One compartment open to the water outside: how it ends (changes from the first)",
            )
            .grid(&header, self.flooded.iter().map(flooded_cells));
        if let Some(steps) = &self.steps {
            steps_sheet(&mut sheet, steps);
        }
        for (name, list) in self.names.iter().zip(&self.mesh_doubts) {
            let named: Vec<Doubt> = list
                .iter()
                .cloned()
                .map(|doubt| doubt.about(name))
                .collect();
            sheet.doubts(&named);
        }
        sheet.cautions(&cautions(&self.cautions, units));
        sheet
    }
}

fn steps_sheet(sheet: &mut Sheet, steps: &Steps) {
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
        Judgement::BothWays => "mixed",
        Judgement::Nothing => "no effect",
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
) {
    let header = [
        "",
        "mass",
        "sinks amidships by",
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
    sheet.grid(&header, changes.chain(sums).map(StepRow::cells));
}

impl StepRow<'_> {
    fn cells(self) -> Vec<Cell> {
        let changes = self.effect.map_or_else(
            || [const { None }; 7],
            |effect| {
                let change =
                    |change: Option<f64>, dimension| change.map(|change| signed(change, dimension));
                [
                    change(Some(effect.mass_kg), Dimension::Mass),
                    change(effect.sinkage_m, Dimension::Length),
                    change(effect.heel_deg, Dimension::Angle),
                    change(effect.pitch_deg, Dimension::Angle),
                    change(effect.lowest_sill_m, Dimension::Length),
                    change(effect.worst_lean_deg, Dimension::Angle),
                    change(effect.least_knock_j, Dimension::Energy),
                ]
            },
        );
        let said = match self.ends {
            "" => self.judgement.map_or("", judged),
            ends => ends,
        };
        let changes = changes.into_iter().map(or_dash);
        labelled(self.words, changes.chain([said.into()]))
    }
}

/// A row behind its label.
fn labelled(label: &str, cells: impl IntoIterator<Item = Cell>) -> Vec<Cell> {
    once(label.into()).chain(cells).collect()
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
fn flooded_cells(row: &FloodedRow) -> Vec<Cell> {
    let cell = |end: &SpaceEnd| {
        let said = match (end.floats, end.upright) {
            (false, _) => "SINKS",
            (true, false) => "ON ITS SIDE OR END",
            (true, true) => "afloat",
        };
        Cell::from(said)
            + end
                .lean_deg
                .map(|lean| ", leaning " + angle_beside(lean, &end.lean_limits_deg))
            + end
                .sill_m
                .map(|sill| ", sill " + length_beside(sill, &end.sill_limits_m))
            + end.verdict.map(|verdict| format!(": {verdict}"))
    };
    let ends = row.ends.iter().map(|end| or_dash(end.as_ref().map(cell)));
    let better = row.better.iter().skip(1).map(|better| match better {
        1 => "better".into(),
        -1 => "worse".into(),
        _ => "".into(),
    });
    labelled(&row.compartment, ends.chain(better))
}

fn row_cells(row: &CompareRow) -> Vec<Cell> {
    let quantity = |value| Cell::quantity(value, row.dimension);
    let values = row.values.iter();
    let changes = row.changes.iter().enumerate().skip(1);
    let changes = changes.map(|(boat, change)| {
        let said = match row.judged(boat) {
            1 => Some(", better"),
            -1 => Some(", worse"),
            _ => None,
        };
        or_dash(change.map(|change| signed(change, row.dimension))) + said
    });
    let values = values.map(|value| or_dash(value.map(quantity)));
    labelled(&row.name, values.chain(changes))
}
