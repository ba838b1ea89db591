//! The least knock through each opening, in joules.
use schemars::JsonSchema;
use serde::Serialize;

use super::super::shared::attitude::{comes_first, lies_in_words};
use super::super::shared::hydrostatics::coordinates;
use super::Study;
use super::drift::drift_m_s;
use crate::equilibrium::{Knock, KnockState};

/// The cheapest way to bring one opening to the water.
#[derive(Debug, Clone, JsonSchema, Serialize)]
pub struct KnockLine {
    /// The opening.
    pub opening: String,
    /// Whether the craft goes over a pass first.
    pub state: KnockState,
    /// The least over all ways of the greatest energy on the way, J: where the craft
    /// turns over first, that of the pass or more.
    pub work_j: f64,
    /// Speed of the craft drifting broadside whose energy of motion that is, m/s, the
    /// water that it carries along counted with [`super::WATER_CARRIED_ALONG`].
    pub drift_m_s: f64,
    /// Energy of the pass that it goes over first, J.
    pub pass_work_j: Option<f64>,
    /// Whether it turns over there: beyond the pass it rests more than a right angle
    /// from where it lay.
    pub turns_over: bool,
    /// How it comes to rest beyond the pass, in words.
    pub falls_into: Option<String>,
    /// What the craft does before the sill is reached: "turns over and lies upside
    /// down", "falls over and lies heeled 14° to port", "goes wholly under"; `None`
    /// where nothing comes first.
    #[serde(skip)]
    pub first: Option<String>,
    /// Heel of that rest, deg.
    pub falls_into_heel_deg: Option<f64>,
    /// Pitch of that rest, deg.
    pub falls_into_pitch_deg: Option<f64>,
    /// Heel and pitch where the sill comes to the water, deg.
    pub heel_deg: f64,
    /// Pitch there, deg.
    pub pitch_deg: f64,
    /// Water displaced there over that at rest, m³.
    pub pressed_under_m3: f64,
    /// The rim point, m.
    pub sill_m: [f64; 3],
    /// Whether the search met its tolerance and no neighbouring rim point is cheaper;
    /// else the energy is an upper bound.
    pub converged: bool,
}

impl Study<'_> {
    /// The cheapest first.
    pub(super) fn knock_lines(&self, knocks: &[Knock]) -> Vec<KnockLine> {
        let mut lines: Vec<KnockLine> = knocks.iter().map(|found| self.knock_line(found)).collect();
        lines.sort_by(|a, b| a.work_j.total_cmp(&b.work_j));
        lines
    }

    fn knock_line(&self, found: &Knock) -> KnockLine {
        let work_j = found.work_m4 * self.joules;
        let into = found.pass.map(|pass| pass.into);
        let turns_over = found.pass.is_some_and(|pass| pass.turns_over(self.rest));
        KnockLine {
            opening: self.opening(found.sill.opening),
            state: found.state,
            work_j,
            drift_m_s: drift_m_s(work_j, self.craft.total_mass_kg()),
            pass_work_j: found.pass.map(|pass| pass.work_m4 * self.joules),
            turns_over,
            falls_into: into.map(|into| lies_in_words(&into)),
            first: comes_first(found, self.rest),
            falls_into_heel_deg: into.map(|into| into.heel_deg()),
            falls_into_pitch_deg: into.map(|into| into.pitch_deg()),
            heel_deg: found.plane.heel_deg(),
            pitch_deg: found.plane.pitch_deg(),
            pressed_under_m3: found.pressed_under_m3,
            sill_m: coordinates(found.sill.point_m),
            converged: found.converged,
        }
    }
}
