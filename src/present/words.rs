//! Sentences that JSON and CSV carry beside the facts, and what is said before any other.
use serde_json::{Map, Value};

use super::cautions::cautions;
use super::say::Say;
use super::yardsticks::yardsticks;
use crate::quantity::UnitSystem;
use crate::study::{Answer, AsItLies, Caution, Lies, Yardstick};

/// Sentences by the JSON pointer of their key in a result, metric as JSON is.
#[derive(Debug, Default)]
pub struct Words(Vec<(String, Value)>);

impl Words {
    /// The usual ones of an answer: its summary and its cautions.
    pub(super) fn of<T>(answer: &Answer<T>, summary: String) -> Self {
        Self::default()
            .and("/summary", summary)
            .and_cautions(&answer.cautions)
    }

    pub(super) fn and_cautions(self, all: &[Caution]) -> Self {
        self.and("/cautions", cautions(all, UnitSystem::Metric))
    }

    pub(super) fn and_yardsticks(self, all: &[Yardstick]) -> Self {
        self.and("/yardsticks", yardsticks(all, UnitSystem::Metric))
    }

    /// With one more.
    pub(super) fn and(mut self, pointer: impl Into<String>, told: impl Into<Value>) -> Self {
        self.0.push((pointer.into(), told.into()));
        self
    }

    /// With those of a result that is a part of this one.
    pub(super) fn and_within(mut self, pointer: &str, part: Self) -> Self {
        let within = part.0.into_iter();
        self.0
            .extend(within.map(|(key, told)| (format!("{pointer}{key}"), told)));
        self
    }

    /// Puts them into the result; where the result has no such place they are left out.
    pub(super) fn put_into(self, value: &mut Value) {
        for (pointer, told) in self.0 {
            let (parent, key) = pointer.rsplit_once('/').unwrap_or(("", &pointer));
            match value.pointer_mut(parent) {
                Some(Value::Object(members)) => put(members, key, told),
                Some(Value::Array(members)) => members.push(told),
                _ => {}
            }
        }
    }
}

/// A summary stands behind the name, cautions before their codes, the rest at the end.
fn put(members: &mut Map<String, Value>, key: &str, told: Value) {
    let place = |name: &str| members.keys().position(|known| known == name);
    let at = match key {
        "summary" => place("name")
            .or_else(|| place("names"))
            .map(|name| name + 1),
        "cautions" => place("caution_codes"),
        _ => None,
    };
    let at = at.unwrap_or(members.len());
    members.shift_insert(at, key.to_owned(), told);
}

/// An angle `of` what (nothing, or " of heel"), finer where a limit would else read the same, with its side where it is
/// not nought.
pub(super) fn heel_to_side(heel_deg: f64, of: &str, limits: &[f64]) -> String {
    let side = if heel_deg > 0.0 { "starboard" } else { "port" };
    let told = Say(UnitSystem::Metric).deg_beside(heel_deg.abs(), 1, limits);
    match told.as_str() {
        "0.0°" => format!("{told}{of}"),
        _ => format!("{told}{of} to {side}"),
    }
}

/// The sentence that comes before all others where a craft has capsized.
pub(super) fn capsize(lies: Lies) -> Option<String> {
    lies.is_capsized().then(|| {
        format!(
            "IT CAPSIZES: set upright on the water it turns over and comes to rest {}.",
            lies.words()
        )
    })
}

/// That a craft fills as it lies; `None` where it does not.
pub(super) fn fills(openings: &[String]) -> Option<String> {
    (!openings.is_empty()).then(|| {
        format!(
            "IT FILLS: at rest the water stands over the sill of {}. The numbers below hold only if that is sealed.",
            openings.join(", ")
        )
    })
}

/// A study's summary behind what must be said first: a capsize, then that it fills.
pub(super) fn told_first(as_it_lies: Option<&AsItLies>, summary: String) -> String {
    let Some(known) = as_it_lies else {
        return summary;
    };
    let first = [capsize(known.lies), fills(&known.fills_through)];
    let first: Vec<String> = first.into_iter().flatten().collect();
    let mut rest = summary.as_str();
    for known in &first {
        rest = rest
            .strip_prefix(known.as_str())
            .unwrap_or(rest)
            .trim_start();
    }
    let all = first.iter().map(String::as_str).chain([rest]);
    let told: Vec<&str> = all.filter(|text| !text.is_empty()).collect();
    told.join(" ")
}
