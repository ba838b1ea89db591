//! The water on its way in: from one moment to the next.
use crate::equilibrium::{EquilibriumError, Rest};
use crate::immersion::WaterPlane;
use crate::progress::{Progress, go_on};

use super::filling::{Filling, GONE_SHARE, Water};
use super::moment::Moment;
use super::network::RoomNow;
use super::{SwampEnd, SwampLine};

/// By how much one step and two halves of it may differ, as a share of the inside.
/// What is left of that once the two are played off against each other is of the
/// next order.
const OFF_SHARE: f64 = 2e-4;
/// A shorter step is taken as it comes, s.
const SHORTEST_S: f64 = 1e-3;
/// How much longer or shorter the next step is at most.
const STEP_CHANGES: [f64; 2] = [0.2, 4.0];
/// Longest time followed, s.
const LONGEST_S: f64 = 6.0 * 3600.0;
/// Longest step of a craft that is free, s: the rooms act on each other by its
/// attitude, and take some steps to agree.
const LONGEST_STEP_S: f64 = 200.0;
/// Moments that a hold is followed in at least.
const HELD_MOMENTS: f64 = 10.0;
/// Share of a time within which it has come: the sum of its steps' rounding.
const TIME_WITHIN: f64 = 1e-12;
/// What heads may be off once the time is over, m: a film that still runs off somewhere
/// keeps rooms behind it from ever standing level to [`super::filling`]'s own measure.
const OFF_HEAD_M: f64 = 1e-7;
/// Steps at most: a craft that rocks to and fro may take its shortest ones all the time.
/// The end then says until when it was followed.
const MOST_STEPS: usize = 20_000;
/// The least cosine between the vertical before and after at which a craft has come
/// up again (60°).
const UP_AGAIN: f64 = 0.5;

/// Everything that one run left behind.
pub(super) struct Run {
    pub(super) end: SwampEnd,
    pub(super) sunk_s: Option<f64>,
    pub(super) lines: Vec<SwampLine>,
    /// The water plane it ended at.
    pub(super) plane: WaterPlane,
}

impl Filling<'_> {
    /// Follows the water from `start`; `pushed` is the water plane at the sill
    /// that is pushed under first.
    ///
    /// # Errors
    /// Where the craft with its water has a rest that is not found; where it is cancelled.
    pub(super) fn run(
        &self,
        rest: &Rest,
        start: Water,
        pushed: Option<WaterPlane>,
        watch: &dyn Progress,
    ) -> Result<Run, EquilibriumError> {
        let mut way = Followed {
            filling: self,
            watch,
            time_s: 0.0,
            water: start,
            lines: Vec::new(),
            step_s: f64::INFINITY,
            plane: *rest.plane(),
        };
        let Some(mut moment) = self.settled(&way.water, rest.plane(), None)? else {
            return Ok(way.ended(SwampEnd::Sunk));
        };
        way.note(&moment);
        if let Some(at_sill) = pushed.filter(|_| self.knocked().held_s > 0.0) {
            let held = WaterPlane {
                level_m: at_sill.level_m + self.knocked().under_m,
                ..at_sill
            };
            moment = self.moment(&way.water, held, None);
            way.until(&mut moment, self.knocked().held_s, Some(&held))?;
            // Nothing moves until it is let go.
            if way.time_s < self.knocked().held_s {
                way.time_s = self.knocked().held_s;
                way.note(&moment);
            }
            match self.settled(&way.water, &held, None)? {
                Some(free) => moment = free,
                None => return Ok(way.ended(SwampEnd::Sunk)),
            }
            way.step_s = f64::INFINITY;
            way.note(&moment);
        }
        let let_go_s = way.time_s;
        let mut until = way.until(&mut moment, let_go_s + LONGEST_S, None)?;
        if let Until::Time = until
            && self.is_still_within(&moment, OFF_HEAD_M)
        {
            until = Until::Still;
        }
        if let Until::Time = until
            && let Some((water, there)) = self.levelled(&way.water, &moment)
        {
            way.water = water;
            moment = there;
            way.note(&moment);
            until = Until::Still;
        }
        let end = match until {
            Until::Gone => SwampEnd::Sunk,
            Until::Time => SwampEnd::NotSettled,
            Until::Still => {
                let plane = &moment.plane;
                let dry = self.sill_height_m(plane) > 0.0;
                let lower = |room: &RoomNow| room.volume_m3 <= 0.0 || room.head_m < plane.level_m;
                let upright = plane.up.dot(&rest.plane().up) > UP_AGAIN;
                if dry && upright && moment.rooms.iter().all(lower) {
                    SwampEnd::Recovers
                } else {
                    SwampEnd::AfloatSwamped
                }
            }
        };
        Ok(way.ended(end))
    }
}

/// Why the water was followed no further.
enum Until {
    Still,
    Gone,
    Time,
}

/// The way so far.
struct Followed<'a> {
    filling: &'a Filling<'a>,
    watch: &'a dyn Progress,
    time_s: f64,
    water: Water,
    lines: Vec<SwampLine>,
    /// How long the next step may be by the last one's error, s.
    step_s: f64,
    plane: WaterPlane,
}

impl Followed<'_> {
    fn note(&mut self, moment: &Moment) {
        self.plane = moment.plane;
        let line = self.filling.line(self.time_s, &self.water, moment);
        self.lines.push(line);
    }

    /// Step by step until nothing moves, the craft is gone, or it is `end_s`.
    fn until(
        &mut self,
        moment: &mut Moment,
        end_s: f64,
        held: Option<&WaterPlane>,
    ) -> Result<Until, EquilibriumError> {
        let filling = self.filling;
        let off_m3 = OFF_SHARE * filling.capacity_m3() * filling.knocked().step_share.powi(2);
        for _ in 0..MOST_STEPS {
            go_on(self.watch)?;
            if filling.is_still(moment) {
                return Ok(Until::Still);
            }
            let left_s = end_s - self.time_s;
            if left_s <= TIME_WITHIN * end_s {
                return Ok(Until::Time);
            }
            let mut step_s = self
                .step_s
                .min(filling.longest_step_s(moment).max(SHORTEST_S));
            let inflow = filling.inflow_m3_s(moment);
            if held.is_none() && inflow > 0.0 {
                // The last step ends where the craft goes under.
                let left = (filling.gone_m3() - self.water.total_m3()) / inflow;
                step_s = step_s.min(left * (1.0 + GONE_SHARE)).max(SHORTEST_S);
            }
            step_s = step_s.min(match held {
                Some(_) => end_s / HELD_MOMENTS,
                None => LONGEST_STEP_S,
            });
            step_s = step_s.min(left_s);
            let gone = |water: &Water| held.is_none() && water.total_m3() >= filling.gone_m3();
            loop {
                let tried = filling.tried(moment, &self.water, step_s, held)?;
                let Some(tried) = tried else {
                    if step_s <= SHORTEST_S {
                        self.time_s += step_s;
                        return Ok(Until::Gone);
                    }
                    step_s = (step_s / 4.0).max(SHORTEST_S);
                    continue;
                };
                let [least, most] = STEP_CHANGES;
                let factor = match tried.off_m3 {
                    off if tried.jumps && off < off_m3 => least,
                    off => 0.9 * (off_m3 / off.max(f64::MIN_POSITIVE)).sqrt(),
                };
                if (tried.off_m3 > off_m3 || tried.jumps) && step_s > SHORTEST_S {
                    step_s = (step_s * factor.max(least)).max(SHORTEST_S);
                    continue;
                }
                let next = tried.water;
                if gone(&next) {
                    let (was, is) = (self.water.total_m3(), next.total_m3());
                    self.time_s += step_s * ((filling.gone_m3() - was) / (is - was)).min(1.0);
                    self.water = next;
                    return Ok(Until::Gone);
                }
                let Some(there) = filling.settled(&next, &tried.halfway, held)? else {
                    self.time_s += step_s;
                    self.water = next;
                    return Ok(Until::Gone);
                };
                self.time_s += step_s;
                self.step_s = (step_s * factor.clamp(least, most)).max(SHORTEST_S);
                self.water = next;
                *moment = there;
                self.note(moment);
                break;
            }
        }
        Ok(Until::Time)
    }

    fn ended(self, end: SwampEnd) -> Run {
        Run {
            sunk_s: (end == SwampEnd::Sunk).then_some(self.time_s),
            end,
            lines: self.lines,
            plane: self.plane,
        }
    }
}
