//! How small a lean or knock floods the craft, in sentences.
use super::super::say::{Say, limits_of};
use super::super::words::capsize;
use super::super::yardsticks::{OFF_CENTRE_RULE, between};
use crate::quantity::{Metric, UnitSystem};
use crate::study::{
    EdgeDoes, KnockLine, KnockState, LEAST_DECK_M, MOST_HEEL_DEG, MarginAbout, MarginVerdict,
    MarginsResult,
};

/// What a yardstick judges.
pub(in crate::present) fn about(line: &MarginVerdict, units: UnitSystem) -> String {
    let does = |turns_over: &bool| {
        if *turns_over {
            "turns it over"
        } else {
            "floods"
        }
    };
    match &line.about {
        MarginAbout::Rest => "rest".to_owned(),
        MarginAbout::OnEdge { side, person, does } => {
            format!(
                "{person} on {} {}",
                edge(side.as_deref()),
                to_it(*does, Say(units))
            )
        }
        MarginAbout::SmallestLean { turns_over } => {
            format!("smallest lean that {}", does(turns_over))
        }
        MarginAbout::LeastEnergy { turns_over } => {
            format!("least energy that {}", does(turns_over))
        }
    }
}

/// The yardstick.
pub(in crate::present) fn yardstick(line: &MarginVerdict, units: UnitSystem) -> String {
    let say = Say(units);
    let limits = |show: &dyn Fn(f64) -> String| {
        let limits = line.limits.as_ref();
        limits.map_or_else(String::new, |limits| between(limits, show))
    };
    match &line.about {
        MarginAbout::Rest => {
            "a craft that comes to rest on its side, on end or bottom up fails".to_owned()
        }
        MarginAbout::OnEdge { .. } => format!(
            "one person on an edge: heel at most {}, no opening under water, and where a weather deck runs from stem to stern its edge {} above the water (borrowed from {OFF_CENTRE_RULE})",
            say.limit(MOST_HEEL_DEG, Metric::Degree),
            say.limit(LEAST_DECK_M, Metric::Millimetre)
        ),
        MarginAbout::SmallestLean { .. } => limits(&|deg| say.limit(deg, Metric::Degree)),
        MarginAbout::LeastEnergy { .. } => limits(&|j| say.limit(j, Metric::Joule)),
    }
}

fn edge(side: Option<&str>) -> String {
    side.map_or_else(
        || "either edge".to_owned(),
        |side| format!("the {side} edge"),
    )
}

/// Of the craft: "It turns over with … sitting on …".
fn it(does: EdgeDoes, say: Say) -> String {
    match does {
        EdgeDoes::TurnsOver => "turns over".to_owned(),
        EdgeDoes::Floods => "fills".to_owned(),
        EdgeDoes::NoRest => "finds no rest".to_owned(),
        EdgeDoes::Heels => "heels too far".to_owned(),
        EdgeDoes::DipsDeck => dips_deck(say),
    }
}

/// Of the person: "… on … turns it over".
fn to_it(does: EdgeDoes, say: Say) -> String {
    match does {
        EdgeDoes::TurnsOver => "turns it over".to_owned(),
        EdgeDoes::Floods => "floods it".to_owned(),
        EdgeDoes::NoRest => "leaves it without a rest".to_owned(),
        EdgeDoes::Heels => "heels it too far".to_owned(),
        EdgeDoes::DipsDeck => dips_deck(say),
    }
}

fn dips_deck(say: Say) -> String {
    format!(
        "dips the edge of its deck to within {} of the water",
        say.limit(LEAST_DECK_M, Metric::Millimetre)
    )
}

/// The worst in one sentence, a capsize before it, then what the person aboard may do.
pub(super) fn summary(result: &MarginsResult, units: UnitSystem) -> String {
    let say = Say(units);
    let person: String = EdgeDoes::ALL
        .into_iter()
        .filter_map(|does| {
            let (side, person) = result.edges_where(does)?;
            Some(format!(
                "It {} with {person} sitting on {}. ",
                it(does, say),
                edge(side)
            ))
        })
        .collect();
    let worst = person + &worst_in_words(result, say);
    match (capsize(result.lies), worst.trim_end()) {
        (Some(capsizes), "") => capsizes,
        (Some(capsizes), worst) => format!("{capsizes} From there: {worst}"),
        (None, worst) => worst.to_owned(),
    }
}

/// Limits of the smallest lean, deg, and of the least energy, J.
pub(in crate::present) fn limits(result: &MarginsResult) -> [Vec<f64>; 2] {
    let judged = |is: fn(&MarginAbout) -> bool| {
        let mut judged = result.verdicts.iter().filter(|line| is(&line.about));
        let limits = judged.find_map(|line| line.limits.as_ref());
        limits.map_or_else(Vec::new, |limits| limits_of(limits).to_vec())
    };
    [
        judged(|about| matches!(about, MarginAbout::SmallestLean { .. })),
        judged(|about| matches!(about, MarginAbout::LeastEnergy { .. })),
    ]
}

/// A lean to a tenth, finer under a degree and where a limit would else read the same.
pub(in crate::present) fn lean_in_words(lean_deg: f64, limits: &[f64]) -> String {
    let decimals = if lean_deg < 1.0 { 2 } else { 1 };
    Say(UnitSystem::Metric).deg_beside(lean_deg, decimals, limits)
}

fn worst_in_words(result: &MarginsResult, say: Say) -> String {
    let [lean_limits, work_limits] = limits(result);
    let lean_in_words = |lean: f64| lean_in_words(lean, &lean_limits);
    let over = match result.soonest() {
        Some((line, true)) => line.over_deg.zip(line.over_work_j).map(|(lean, work)| {
            let dry = if line.lean_deg.is_some() {
                ", every sill dry until then"
            } else {
                ""
            };
            format!(
                "It turns over soonest when it leans {}: past {} it goes over by itself{dry}; that takes {}. ",
                result.way_in_words(line, true),
                lean_in_words(lean),
                say.joules_beside(work, 1, &work_limits)
            )
        }),
        _ => None,
    }
    .unwrap_or_default();
    let Some(worst) = &result.worst_tilt else {
        let none = match result.none_open {
            None => "No lean brings an opening to the water.".to_owned(),
            Some(why) => format!("No water comes in, however it leans: {why}."),
        };
        return format!("{over}{none}");
    };
    let (Some(lean), Some(opening)) = (worst.lean_deg, &worst.opening) else {
        return over;
    };
    if lean <= 0.0 {
        return String::new(); // said first
    }
    let place = result.worst_tilt_place.as_deref().unwrap_or_default();
    let least = result.knock.first();
    let knock = least.map_or_else(String::new, |line| least_knock(line, &work_limits, say));
    let first = if worst.capsizes_first {
        ", but it turns over by itself before that"
    } else {
        ""
    };
    format!(
        "{over}It floods soonest when it leans {}: {} puts {opening} ({place}) under{first}.{knock}",
        result.way_in_words(worst, false),
        lean_in_words(lean)
    )
}

/// The sentence about the least knock of all.
fn least_knock(line: &KnockLine, limits: &[f64], say: Say) -> String {
    let work = format!(
        "{}, the craft drifting into a wall at {}",
        say.joules_beside(line.work_j, 1, limits),
        say.of(line.drift_m_s, Metric::MetrePerSecond, 2)
    );
    let opening = &line.opening;
    match (line.state, &line.first) {
        (KnockState::Never, _) => format!(
            " No knock brings {opening} to the water before the whole hull is pushed under: {work}."
        ),
        (_, Some(first)) => {
            format!(" Knocked, it {first} first: {work}; {opening} would go under only after that.")
        }
        (_, None) => format!(" The least knock that does it is {work}, through {opening}."),
    }
}
