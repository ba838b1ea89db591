//! The table and the drawing of the margins.
use std::iter::once;

use super::cell::{angle, angle_beside, cells, fixed, length, length_beside, mass, point};
use super::deck_map::load_stands;
use super::say::Say;
use super::words::{Words, told_first};
use super::{Cell, Present, Sheet};
use crate::quantity::{Dimension, Metric, UnitSystem, show};
use crate::study::{
    Answer, EdgeDoes, LEAST_DECK_M, LoadEnd, MOST_HEEL_DEG, MarginsResult, PersonLine, TiltLine,
    WATER_CARRIED_ALONG, direction_in_words,
};

mod words;

pub(super) use words::{about, lean_in_words, limits, yardstick};

/// Bearings shown in the terminal: every 15°.
const SHOWN_EVERY_DEG: f64 = 15.0;
/// Leans are drawn up to a whole number of these, at most to a right angle; the
/// bars in the terminal likewise, deg.
pub(super) const ROSE_RING_DEG: f64 = 15.0;
const ROSE_MOST_DEG: f64 = 90.0;
/// Parts of the longest bar.
const BAR: f64 = Cell::BAR as f64;

impl Present for Answer<MarginsResult> {
    fn summary(&self, units: UnitSystem) -> String {
        told_first(self.as_it_lies.as_ref(), words::summary(self, units))
    }

    fn words(&self) -> Words {
        let mut words = Words::of(self, self.summary(UnitSystem::Metric));
        for (number, line) in self.verdicts.iter().enumerate() {
            let key = |name: &str| format!("/verdicts/{number}/{name}");
            words = words
                .and(key("name"), about(line, UnitSystem::Metric))
                .and(key("yardstick"), yardstick(line, UnitSystem::Metric));
        }
        words
    }

    fn sheet(&self, units: UnitSystem) -> Sheet {
        let mut sheet = Sheet::answering(self, units);
        let verdicts = self
            .verdicts
            .iter()
            .map(|v| cells![about(v, units), v.verdict, yardstick(v, units)]);
        let header = ["what", "verdict", "yardstick"];
        sheet.heading("Yardsticks").grid(&header, verdicts);
        rose(&mut sheet, self);
        knock(&mut sheet, self);
        sheet.notes(&[format!(
            "drift speed: broadside into a wall, the water that goes with the craft counted as {WATER_CARRIED_ALONG:.1} times its mass: that of a half-round section, more than shallower hulls carry (hydrodynamics textbooks, from memory)"
        )]);
        lift(&mut sheet, self);
        load(&mut sheet, self);
        off_centre(&mut sheet, self);
        if let Some(crest) = self.crest_m.filter(|crest| *crest > 0.0) {
            sheet.heading("Waves").notes(&[format!(
                "a standing crest {} above the water at rest reaches the lowest sill: a crude bound, the craft held as it lies",
                show(crest, Dimension::Length, units)
            )]);
        }
        sheet.wary_of(self)
    }
}

/// The lean at the rim of the rose, deg.
pub(super) fn rim_deg(tilt: &[TiltLine]) -> f64 {
    let most = tilt.iter().filter_map(ends_deg);
    let most = most.fold(ROSE_RING_DEG, f64::max);
    ((most / ROSE_RING_DEG).ceil() * ROSE_RING_DEG).min(ROSE_MOST_DEG)
}

/// The lean at which it goes over by itself or a sill is awash, whichever comes first.
pub(super) fn ends_deg(line: &TiltLine) -> Option<f64> {
    line.over_deg.or(line.lean_deg)
}

fn rose(sheet: &mut Sheet, result: &MarginsResult) {
    let tilt = &result.tilt;
    let [leans, works] = limits(result);
    let angle = |deg| angle_beside(deg, &leans);
    let energy = |j| Cell::beside(j, Dimension::Energy, &works);
    let rim = rim_deg(tilt);
    let shown = tilt.iter();
    let shown = shown.filter(|line| line.bearing_deg % SHOWN_EVERY_DEG == 0.0);
    let rows = shown.map(|line| {
        let bar = ends_deg(line).map_or(BAR, |lean| (lean / rim * BAR).clamp(0.0, BAR));
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and BAR"
        )]
        let bar = Cell::bar(bar.round() as u8);
        cells![
            fixed(format!("{:.0}°", line.bearing_deg)),
            direction_in_words(line.bearing_deg),
            line.lean_deg.map_or_else(|| "never".into(), angle),
            line.work_j.map(energy),
            line.opening.as_ref(),
            match (line.over_deg, line.over_work_j) {
                (Some(over), Some(work)) => angle(over).and(energy(work)),
                _ if line.capsizes_first => "falls over to its other loll".into(),
                _ => "".into(),
            },
            bar,
        ]
    });
    sheet
        .heading("Leaning over until the first sill is awash (displacement held)")
        .grid(
            &[
                "bearing",
                "way",
                "lean",
                "work",
                "opening",
                "turns over by itself first, at",
                &format!("0 to {rim:.0}°"),
            ],
            rows,
        );
}

fn knock(sheet: &mut Sheet, result: &MarginsResult) {
    let [_, works] = limits(result);
    let rows = result.knock.iter().map(|line| {
        let work = Cell::beside(line.work_j, Dimension::Energy, &works);
        cells![
            &line.opening,
            if line.converged {
                work
            } else {
                work + fixed(" at most")
            },
            line.first.as_ref(),
            Cell::quantity(line.drift_m_s, Dimension::Speed),
            angle(line.heel_deg),
            angle(line.pitch_deg),
            point(line.sill_m),
        ]
    });
    sheet
        .heading(
            "Knock: the least energy that brings each sill to the water, pressing down allowed, the other openings held closed",
        )
        .grid(
            &[
                "opening",
                "energy",
                "first",
                "as drift speed",
                "heel",
                "pitch",
                "sill x, y, z",
            ],
            rows,
        );
}

fn lift(sheet: &mut Sheet, result: &MarginsResult) {
    let rows = result.lift.iter().map(|line| {
        let force = |n| Cell::quantity(n, Dimension::Force);
        cells![
            &line.name,
            line.force_n.map_or_else(|| ended(line.end).into(), force),
            line.raised_m.map(length),
            match &line.opening {
                Some(opening) => format!("{opening} is awash"),
                None if line.end == LoadEnd::TurnsOver => ended(line.end).to_owned(),
                None => String::new(),
            },
        ]
    });
    sheet
        .heading("Riding up: a push up at one place until a sill is awash or the craft turns over")
        .grid(&["under the", "push", "raised there by", "then"], rows);
}

/// What ends a load or a lift, where no number says it.
fn ended(end: LoadEnd) -> &'static str {
    match end {
        LoadEnd::Awash => "floods",
        LoadEnd::TurnsOver => "TURNS OVER, every sill dry until then",
        LoadEnd::StaysDry => "none floods",
        LoadEnd::NoRest => "no rest found",
    }
}

fn load(sheet: &mut Sheet, result: &MarginsResult) {
    let mut stations: Vec<f64> = result.load.iter().map(|line| line.at_m[0]).collect();
    stations.dedup();
    let mut places: Vec<f64> = result.load.iter().map(|line| line.at_m[1]).collect();
    places.sort_by(|a, b| b.total_cmp(a));
    places.dedup();
    let rows = stations.iter().map(|x| {
        let across = places.iter().map(|y| {
            let mut load = result.load.iter();
            // None is beside the craft.
            load.find(|line| line.at_m[0] == *x && line.at_m[1] == *y)
                .map(|line| greatest_load(line.mass_kg, line.end))
                .into()
        });
        once(length(*x)).chain(across)
    });
    let across = places.iter();
    let across = across.map(|y| format!("y {}", length(*y).text(sheet.units)));
    let header: Vec<String> = once("x forward".to_owned()).chain(across).collect();
    sheet
        .heading(
            "Load: the greatest extra mass at each place before a sill is awash (port at left)",
        )
        .grid(&header, rows);
    if let Some(stands) = load_stands(result, sheet.units) {
        sheet.notes(&[stands]);
    }
    if result
        .load
        .iter()
        .any(|line| line.end == LoadEnd::TurnsOver)
    {
        sheet.notes(&[
            "* there the craft turns over first, every sill dry until then: with any more it has no rest near by",
        ]);
    }
}

/// A greatest load; a star where the craft turns over with it.
fn greatest_load(mass_kg: Option<f64>, end: LoadEnd) -> Cell {
    match mass_kg.map(mass) {
        Some(load) if end == LoadEnd::TurnsOver => load + fixed(" *"),
        Some(load) => load,
        None => ended(end).into(),
    }
}

fn off_centre(sheet: &mut Sheet, result: &MarginsResult) {
    let Some(first) = result.person.first() else {
        return;
    };
    let has_deck = result.person.iter().any(|line| line.deck_edge_m.is_some());
    let rows = result.person.iter().map(|line| {
        let heel = match (&line.floods_first, line.turns_over) {
            (Some(first), _) => {
                Cell::from(format!("floods: {} under at ", first.opening)) + angle(first.heel_deg)
            }
            (None, true) => Cell::from(ended(LoadEnd::TurnsOver)),
            (None, false) => {
                let none = || Cell::from(ended(LoadEnd::NoRest));
                line.heel_deg
                    .map_or_else(none, |heel| angle_beside(heel, &[MOST_HEEL_DEG]))
            }
        };
        let sill = line.sill_m.map(|height| length_beside(height, &[0.0]));
        let mut row = cells![&line.side, heel, sill];
        let deck = line.deck_edge_m;
        let deck = deck.map(|height| length_beside(height, &[LEAST_DECK_M]));
        row.extend(has_deck.then(|| deck.into()));
        row.push(rule_in_words(line).into());
        row
    });
    let mut header = vec!["side", "heel", "lowest sill"];
    if has_deck {
        header.push("deck edge");
    }
    header.push("borrowed rule");
    let least = Say(sheet.units).limit(LEAST_DECK_M, Metric::Millimetre);
    let deck = if has_deck {
        format!(
            "and, under a watertight weather deck from stem to stern as here, the deck at least {least} above the water"
        )
    } else {
        format!(
            "its {least} to the deck is for a watertight weather deck from stem to stern, which this craft does not have: not judged"
        )
    };
    sheet
        .heading(&format!("{} sitting on an edge", first.person))
        .grid(&header, rows)
        .notes(&[format!(
            "the rule: UK Maritime and Coastguard Agency, MGN 280 (M), annex section 11.4.1, for certified motor vessels at sea: heel at most {MOST_HEEL_DEG:.0}° with all persons, here one, along one side; {deck}. It allows 10° where the freeboard then meets its section 12, which is not judged"
        )]);
    let rows = result.edge_load.iter().map(|line| {
        cells![
            &line.side,
            greatest_load(line.edge_load_kg, line.end),
            line.persons_capacity_kg.map(mass),
        ]
    });
    let mut notes = vec![
        "after 33 CFR 183.41, borrowed: that rule leaves out canoes and kayaks and has further limits",
    ];
    if result
        .edge_load
        .iter()
        .any(|line| line.end == LoadEnd::TurnsOver)
    {
        notes.push("* there the craft turns over first, every sill dry until then");
    }
    sheet
        .heading(&format!("Edge load, {} left ashore", first.person))
        .grid(
            &["side", "greatest load", "persons by that rule (÷ 0.6)"],
            rows,
        )
        .notes(&notes);
}

fn rule_in_words(line: &PersonLine) -> &'static str {
    match line.does() {
        None => "met",
        Some(EdgeDoes::TurnsOver) => "NOT met: it turns over",
        Some(EdgeDoes::Floods) => "NOT met: it floods",
        Some(EdgeDoes::NoRest | EdgeDoes::Heels | EdgeDoes::DipsDeck) => "NOT met",
    }
}
