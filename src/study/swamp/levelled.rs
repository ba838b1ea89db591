//! The state in which the rooms that are one with the sea stand level with it.
use super::filling::{Filling, Water};
use super::moment::Moment;
use crate::equilibrium::{Hold, find_rest_from};

/// Most by which that state's water may differ from what was followed so far, as a share
/// of the inside: past it the way there is not over.
const NEARLY_THERE: f64 = 0.01;

impl Filling<'_> {
    /// Where the water that is followed creeps up to its end without coming there in the
    /// time given: the rest with the rooms joined to the sea lost to it (lost buoyancy),
    /// their water as high as outside, if that is near and nothing moves there.
    pub(super) fn levelled(&self, water: &Water, moment: &Moment) -> Option<(Water, Moment)> {
        let joined = self.joined(moment);
        let mut elsewhere = water.clone();
        for room in (0..joined.len()).filter(|&room| joined[room]) {
            elsewhere.rooms_m3[room] = 0.0;
        }
        let mut craft = self.with_water(&elsewhere);
        for room in (0..joined.len()).filter(|&room| joined[room]) {
            craft.displacers.take_away(self.space(room));
        }
        let rest = find_rest_from(&craft, &moment.plane, Hold::Nothing).ok()?;
        let plane = *rest.plane();
        let mut level = water.clone();
        for room in (0..joined.len()).filter(|&room| joined[room]) {
            level.rooms_m3[room] = self.space(room).immerse(&plane).volume_m3.max(0.0);
        }
        let moved = |(is, was): (&f64, &f64)| (is - was).abs();
        let moved_m3: f64 = level.rooms_m3.iter().zip(&water.rooms_m3).map(moved).sum();
        if moved_m3 > NEARLY_THERE * self.capacity_m3() {
            return None;
        }
        level.entered_m3 += level.total_m3() - water.total_m3();
        let at = self.with_water(&level).energy_at(&plane);
        let there = self.moment(&level, plane, Some(&at));
        self.is_still(&there).then_some((level, there))
    }

    /// Whether each room is one with the sea: by a wet way, or by one into a room that is.
    fn joined(&self, moment: &Moment) -> Vec<bool> {
        let mut joined = vec![false; moment.rooms.len()];
        for _ in 0..moment.rooms.len() {
            for way in &moment.ways {
                let is_wet = way.facing.lowest_m() < moment.plane.level_m;
                match way.ends {
                    [None, Some(room)] | [Some(room), None] if is_wet => joined[room] = true,
                    [Some(one), Some(other)] if is_wet && joined[one] != joined[other] => {
                        joined[one] = true;
                        joined[other] = true;
                    }
                    _ => {}
                }
            }
        }
        joined
    }
}
