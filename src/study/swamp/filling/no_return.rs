//! How many litres inside bring the lowest sill to the water by themselves.
use super::{Filling, Water};
use crate::boat::Boat;
use crate::equilibrium::{Displacers, EquilibriumError, Hold, Liquid, Rest, find_rest_from};
use crate::numerics::first_below;

impl Filling<'_> {
    /// Water at which the lowest sill comes to the water by itself, m³ on top of the
    /// `fills`: in the room that the pushed opening leads to, or at one level in all that
    /// are joined to it (holes high up join them sooner so than they do), whichever takes
    /// less.
    pub(in super::super) fn no_return_m3(
        &self,
        rest: &Rest,
        fills: &Water,
    ) -> Result<Option<f64>, EquilibriumError> {
        let joined = self.one_by_passages();
        let all = (joined.len() > 1).then_some(&joined[..]);
        let mut least = None;
        for rooms in joined.get(..1).into_iter().chain(all) {
            let found = self.brings_sill_down_m3(rest, fills, rooms)?;
            least = least.into_iter().chain(found).min_by(f64::total_cmp);
        }
        Ok(least)
    }

    /// The names of the rooms that [`Self::no_return_m3`] looks at.
    pub(in super::super) fn no_return_in(&self, boat: &Boat) -> Vec<String> {
        let joined = self.one_by_passages();
        joined.iter().map(|&room| self.name(boat, room)).collect()
    }

    /// The room that the pushed opening leads to, and those that passages join to it;
    /// none where nothing lets water in.
    fn one_by_passages(&self) -> Vec<usize> {
        let first = self.bailed.filter(|_| !self.sills.is_empty());
        let mut joined: Vec<usize> = first.into_iter().collect();
        let mut next = 0;
        while let Some(&room) = joined.get(next) {
            for hole in &self.holes {
                if let [Some(a), Some(b)] = hole.ends
                    && (a == room || b == room)
                {
                    let other = if a == room { b } else { a };
                    if !joined.contains(&other) {
                        joined.push(other);
                    }
                }
            }
            next += 1;
        }
        joined
    }

    /// Water at one level in some rooms, on top of the `fills`, that brings the lowest
    /// sill down, m³.
    fn brings_sill_down_m3(
        &self,
        rest: &Rest,
        fills: &Water,
        rooms: &[usize],
    ) -> Result<Option<f64>, EquilibriumError> {
        let capacity_m3: f64 = rooms.iter().map(|&room| self.rooms[room].capacity_m3).sum();
        let stands_m3: f64 = rooms.iter().map(|&room| fills.rooms_m3[room]).sum();
        let most = (capacity_m3 - stands_m3).min(self.gone_m3() - fills.total_m3());
        if most <= 0.0 {
            return Ok(None);
        }
        let mut elsewhere = fills.clone();
        let mut space = Displacers::default();
        for &room in rooms {
            elsewhere.rooms_m3[room] = 0.0;
            space.add_all(&self.rooms[room].space);
        }
        let elsewhere = self.with_water(&elsewhere);
        let look = |more_m3: f64, near: &Rest| {
            let mut craft = elsewhere.clone();
            craft.liquids.push(Liquid {
                space: space.clone(),
                volume_m3: stands_m3 + more_m3,
                stands_in: None,
                relative_density: 1.0,
                surface_near_m: None,
            });
            let rest = find_rest_from(&craft, near.plane(), Hold::Nothing)?;
            Ok((self.sills.height_m(rest.plane()), rest))
        };
        let first = (self.sills.height_m(rest.plane()), rest.clone());
        let found = first_below(first, [most / 100.0, most], [most * 1e-10, 1e-10], look);
        match found {
            Ok(found) => Ok(found.map(|found| found.at)),
            Err(EquilibriumError::NotConverged { .. }) => Ok(None),
            Err(other) => Err(other),
        }
    }
}
