//! A deck laid over an opening from rim to rim. It takes the place of that stretch of the
//! opening's cap, corner for corner along the rim, so that nothing need be joined.
use std::collections::{HashMap, HashSet};

mod bays;

use super::{CannotBuild, across};
use crate::boat::envelope::{AreaMoment, Envelope, FaceSource, LaidUp};
use crate::boat::file::Deck;
use crate::boat::{PartSheet, SheetLies};
use crate::mesh::{Surface, border_loops, pieces, ring_area, triangulate_ring};
use crate::numerics::{Vec3, least_and_most};

/// Lengths into which a deck is cut, and half as many breadths as it is cut into across. Under
/// `n` chords of a parabola lies `1 − 1/n²` of its area: it is drawn so much higher.
const BAYS: usize = 128;
const HALF_BREADTHS: usize = 16;
/// Share of the opening's length within which a corner of the rim lies at a station, or an
/// end of the rim straight across.
const AT_STATION: f64 = 1e-6;
const STRAIGHT_ACROSS: f64 = 1e-3;
/// How many times as long as broad a ring is drawn to be closed from side to side.
const LONGER: f64 = 10.0;
/// What the bulkheads at its ends are called.
const BULKHEADS: [&str; 2] = ["after bulkhead", "fore bulkhead"];
/// An end of no more area than this needs no sheet, m²: a square centimetre. Ours.
const NO_SHEET_M2: f64 = 1e-4;
/// How far inside its end the bulkhead of a deck is measured, as a share of its length.
const INSIDE: f64 = 1e-6;

/// Lays a deck of source `part` over what is left of a cap; its bulkheads belong to its sheet.
///
/// # Errors
/// [`CannotBuild`] where the opening's edge does not bear one.
pub(in crate::boat) fn laid(
    before: &Envelope,
    cap: FaceSource,
    deck: &Deck,
    part: FaceSource,
) -> Result<LaidUp, CannotBuild> {
    let mut rim = Rim::of(before, cap, deck)?;
    let plan = Plan::of(&rim, deck)?;
    for station in 0..=BAYS {
        rim.cut_at(plan.x_m(station), plan.near_m)?;
    }
    let mut sides = rim.sides(&plan)?;
    let first = rim.envelope.surface.faces.len();
    rim.lay(&plan, deck, &mut sides, part)?;
    // Skin beside the rim may have been parted meanwhile.
    let laid = first..rim.envelope.surface.faces.len();
    let deck_faces = laid.filter(|face| rim.envelope.sources[*face] == part);
    let is_upright = |face: &usize| rim.ends.iter().any(|(end, _)| end.contains(face));
    let arched = rim.faces(deck_faces.filter(|face| !is_upright(face)));
    let mut sheet = AreaMoment::of(&arched);
    let mut sheets = vec![PartSheet::outside("deck", SheetLies::Facing(arched))];
    for ((faces, is_open), name) in rim.ends.iter().zip(["after end", "fore end"]) {
        if *is_open {
            continue;
        }
        let end = rim.faces(faces.clone());
        let area = AreaMoment::of(&end);
        sheet = sheet.plus(&area);
        if area.area_m2 > NO_SHEET_M2 {
            let curves = border_loops(&end).unwrap_or_default();
            let place = |v: &u32| end.vertices[*v as usize];
            let curves = curves.iter().map(|one| one.iter().map(place).collect());
            sheets.push(PartSheet::outside(
                name,
                SheetLies::Across(curves.collect()),
            ));
        }
    }
    for left in &sides.left {
        rim.close_across(left, cap);
    }
    let mut envelope = rim.envelope;
    envelope.surface.drop_unused_vertices();
    if deck.bulkhead {
        let inside = INSIDE * (plan.to_m - plan.from_m);
        let ends = [(plan.from_m + inside), (plan.to_m - inside)];
        for ((x_m, stops), name) in ends.into_iter().zip(plan.stops).zip(BULKHEADS) {
            if stops {
                let (area, curves) = across(&envelope, x_m)?;
                sheet = sheet.plus(&area);
                sheets.push(PartSheet::bulkhead(name, curves));
            }
        }
    }
    Ok(LaidUp {
        envelope,
        sheet,
        sheets,
    })
}

/// Where a deck lies along the boat.
struct Plan {
    from_m: f64,
    to_m: f64,
    /// Whether it stops at its after and forward end, rather than end with the opening.
    stops: [bool; 2],
    near_m: f64,
}

impl Plan {
    fn of(rim: &Rim, deck: &Deck) -> Result<Self, CannotBuild> {
        let (least, most) = least_and_most(rim.ring.iter().map(|v| rim.place(*v).x));
        let near_m = AT_STATION * (most - least);
        let inside =
            |at_m: f64, end: &'static str| match at_m > least + near_m && at_m < most - near_m {
                true => Ok(at_m),
                false => Err(CannotBuild::EndOffOpening {
                    end,
                    at_m,
                    from_m: least,
                    to_m: most,
                }),
            };
        let [aft, forward] = deck.ends;
        Ok(Self {
            from_m: aft.map_or(Ok(least), |at| inside(at.value, "begin"))?,
            to_m: forward.map_or(Ok(most), |at| inside(at.value, "end"))?,
            stops: deck.ends.map(|end| end.is_some()),
            near_m,
        })
    }

    fn x_m(&self, station: usize) -> f64 {
        self.from_m + (self.to_m - self.from_m) * station as f64 / BAYS as f64
    }
}

/// The rim of an opening whose cap has been taken off.
struct Rim {
    envelope: Envelope,
    /// Its corners, as the cap went round them: from starboard to port over the bow.
    ring: Vec<u32>,
    /// The face on the other side of each stretch, by its ends as that face has them.
    beside: HashMap<[u32; 2], usize>,
    /// Faces that close each end upright, and whether the deck stands open there: then no
    /// sheet is there.
    ends: Vec<(std::ops::Range<usize>, bool)>,
}

/// The rim's two sides under a deck, and what a deck leaves of the opening.
struct Sides {
    /// Starboard and port, each from aft to forward.
    chains: [Vec<u32>; 2],
    /// Across the after end, from port to starboard, and the forward one, from starboard to
    /// port: corners between the sides, where the deck ends with the opening.
    runs: [Vec<u32>; 2],
    /// What of the rim lies round what is left open at each end, to where the deck stops.
    left: [Vec<u32>; 2],
}

impl Sides {
    /// The rim across an end, as it goes round: aft from port to starboard, forward from
    /// starboard to port.
    fn across(&self, end: usize) -> Vec<u32> {
        let [starboard, port] = self.chains.each_ref().map(|chain| match end {
            0 => chain[0],
            _ => chain[chain.len() - 1],
        });
        let (from, to) = match end {
            0 => (port, starboard),
            _ => (starboard, port),
        };
        let mut across = vec![from];
        across.extend(&self.runs[end]);
        across.push(to);
        across
    }
}

impl Rim {
    fn of(before: &Envelope, cap: FaceSource, deck: &Deck) -> Result<Self, CannotBuild> {
        let under = stretch_under(before, cap, deck);
        let mut cap = Surface {
            vertices: before.surface.vertices.clone(),
            faces: Vec::new(),
        };
        let (mut faces, mut sources) = (Vec::new(), Vec::new());
        for (number, face) in before.surface.faces.iter().enumerate() {
            if under.contains(&number) {
                cap.faces.push(*face);
            } else {
                faces.push(*face);
                sources.push(before.sources[number]);
            }
        }
        let mut loops = border_loops(&cap).unwrap_or_default();
        let ring = match loops.len() {
            0 => return Err(CannotBuild::NoEdge(deck.over.clone())),
            1 => loops.remove(0),
            several => return Err(CannotBuild::SeveralEdges(several)),
        };
        let onward = ring.iter().cycle().skip(1);
        let sides: HashSet<[u32; 2]> = ring.iter().zip(onward).map(|(a, b)| [*b, *a]).collect();
        let mut beside = HashMap::new();
        for (number, [a, b, c]) in faces.iter().enumerate() {
            let edges = [[*a, *b], [*b, *c], [*c, *a]];
            for edge in edges.into_iter().filter(|edge| sides.contains(edge)) {
                beside.insert(edge, number);
            }
        }
        let rim = Self {
            envelope: Envelope {
                surface: Surface { faces, ..cap },
                sources,
            },
            ring,
            beside,
            ends: Vec::new(),
        };
        let plan: Vec<Vec3> = rim.ring.iter().map(|v| rim.place(*v)).collect();
        if ring_area(&plan).z <= 0.0 {
            return Err(CannotBuild::NotLevel);
        }
        Ok(rim)
    }

    fn place(&self, v: u32) -> Vec3 {
        self.envelope.surface.vertices[v as usize]
    }

    fn add(&mut self, place: Vec3) -> u32 {
        self.envelope.surface.vertices.push(place);
        u32::try_from(self.envelope.surface.vertices.len() - 1).unwrap_or(u32::MAX)
    }

    /// Some of its faces by themselves.
    fn faces(&self, numbers: impl Iterator<Item = usize>) -> Surface {
        let numbers: Vec<usize> = numbers.collect();
        self.envelope.piece(&numbers).surface
    }

    fn face(&mut self, face: [u32; 3], source: FaceSource) {
        self.envelope.surface.faces.push(face);
        self.envelope.sources.push(source);
    }

    /// Puts a corner on the rim wherever it crosses a station, in the skin beside it too.
    fn cut_at(&mut self, x_m: f64, near_m: f64) -> Result<(), CannotBuild> {
        let mut ring = Vec::with_capacity(self.ring.len() + 2);
        for number in 0..self.ring.len() {
            let (a, b) = (self.ring[number], self.ring[(number + 1) % self.ring.len()]);
            ring.push(a);
            let (from, to) = (self.place(a), self.place(b));
            let is_near = (from.x - x_m).abs().min((to.x - x_m).abs()) <= near_m;
            if is_near || (from.x < x_m) == (to.x < x_m) {
                continue;
            }
            let mut place = from + (to - from) * ((x_m - from.x) / (to.x - from.x));
            place.x = x_m;
            let middle = self.split([a, b], place)?;
            ring.push(middle);
        }
        self.ring = ring;
        Ok(())
    }

    /// Puts a corner into a stretch of the rim, in the skin beside it too.
    fn split(&mut self, [a, b]: [u32; 2], place: Vec3) -> Result<u32, CannotBuild> {
        let Some(face) = self.beside.remove(&[b, a]) else {
            return Err(CannotBuild::RunsBack(place.x));
        };
        let middle = self.add(place);
        let corners = self.envelope.surface.faces[face];
        let third = corners
            .into_iter()
            .find(|v| *v != a && *v != b)
            .unwrap_or(a);
        let source = self.envelope.sources[face];
        self.envelope.surface.faces[face] = [middle, a, third];
        self.face([b, middle, third], source);
        let other = self.envelope.surface.faces.len() - 1;
        self.beside.insert([middle, a], face);
        self.beside.insert([b, middle], other);
        if let Some(moved) = self.beside.get_mut(&[third, b]) {
            *moved = other;
        }
        Ok(middle)
    }

    /// Parts the rim at the deck's ends.
    fn sides(&self, plan: &Plan) -> Result<Sides, CannotBuild> {
        let count = self.ring.len();
        let straight_m = STRAIGHT_ACROSS * (plan.to_m - plan.from_m);
        // Of the corners at an end the numbers in the ring of the one that comes to it and
        // the one that leaves it: of port and starboard aft, of starboard and port forward.
        let meets = |end: usize| -> Result<[usize; 2], CannotBuild> {
            let x_m = [plan.from_m, plan.to_m][end];
            let stops = plan.stops[end];
            let near_m = if stops { plan.near_m } else { straight_m };
            let is_there = |k: usize| (self.place(self.ring[k % count]).x - x_m).abs() <= near_m;
            let begins: Vec<usize> = (0..count)
                .filter(|&k| is_there(k) && !is_there(k + count - 1))
                .collect();
            let run_to = |k: usize| (k..).find(|&n| !is_there(n + 1)).unwrap_or(k) % count;
            match (stops, begins.as_slice()) {
                // Each of two corners stands alone.
                (true, &[one, other]) => {
                    // Aft, the ring leaves the deck on port; forward, on starboard.
                    let ahead = |k: usize| self.place(self.ring[(k + count - 1) % count]).x > x_m;
                    let leaves_first = ahead(one) == (end == 0);
                    Ok(if leaves_first {
                        [one, other]
                    } else {
                        [other, one]
                    })
                }
                (false, &[one]) => Ok([one, run_to(one)]),
                _ => Err(CannotBuild::RunsBack(x_m)),
            }
        };
        let ([port_aft, starboard_aft], [starboard_fore, port_fore]) = (meets(0)?, meets(1)?);
        let stretch = |from: usize, to: usize| -> Vec<u32> {
            let length = (to + count - from) % count;
            (0..=length)
                .map(|k| self.ring[(from + k) % count])
                .collect()
        };
        let starboard = stretch(starboard_aft, starboard_fore);
        let mut port = stretch(port_fore, port_aft);
        port.reverse();
        let mut left = [Vec::new(), Vec::new()];
        let mut runs = [Vec::new(), Vec::new()];
        let across = [(port_aft, starboard_aft), (starboard_fore, port_fore)];
        for (end, (from, to)) in across.into_iter().enumerate() {
            let run = stretch(from, to);
            if plan.stops[end] {
                left[end] = run;
            } else if run.len() > 2 {
                runs[end] = run[1..run.len() - 1].to_vec();
            }
        }
        Ok(Sides {
            chains: [starboard, port],
            runs,
            left,
        })
    }

    /// Closes a level ring of corners with faces of one source from side to side, as caps are.
    fn close_across(&mut self, ring: &[u32], source: FaceSource) {
        let places: Vec<Vec3> = ring.iter().map(|v| self.place(*v)).collect();
        let extent = |axis: usize| {
            let (least, most) = least_and_most(places.iter().map(|p| p[axis]));
            most - least
        };
        // So much longer than broad that nothing else can be meant.
        let stretch = (LONGER * extent(1) / extent(0)).max(1.0);
        let stretch = if stretch.is_finite() { stretch } else { 1.0 };
        let stretched = places.iter().map(|p| Vec3::new(p.x * stretch, p.y, p.z));
        self.fill(ring, &stretched.collect::<Vec<Vec3>>(), source);
    }

    /// Closes a ring of corners that lie at these places to whoever closes it.
    fn fill(&mut self, ring: &[u32], places: &[Vec3], source: FaceSource) {
        if ring.len() < 3 {
            return;
        }
        let (triangles, _) = triangulate_ring(places, |_, _| false);
        for triangle in triangles {
            self.face(triangle.map(|k| ring[k as usize]), source);
        }
    }

    /// The deck's arches, bay by bay, and what closes it upright at its ends.
    fn lay(
        &mut self,
        plan: &Plan,
        deck: &Deck,
        sides: &mut Sides,
        part: FaceSource,
    ) -> Result<(), CannotBuild> {
        let at = self.at_stations(plan, sides)?;
        let mut arches = self.arches(plan, deck, sides, &at);
        if deck.crown.value > 0.0 {
            for end in [0, 1] {
                let arch = end * BAYS;
                if arches[arch].is_empty() && !plan.stops[end] {
                    arches[arch] = self.along_run(plan, sides, end)?;
                }
            }
        }
        for bay in 0..BAYS {
            let [starboard, port] = [0, 1].map(|side| {
                let numbers = at[side][bay]..=at[side][bay + 1];
                sides.chains[side][numbers].to_vec()
            });
            self.lay_bay(&arches[bay], &arches[bay + 1], &starboard, &port, part);
        }
        for (end, arch) in [&arches[0], &arches[BAYS]].into_iter().enumerate() {
            self.close_end(plan, sides, end, arch, part);
        }
        Ok(())
    }

    /// The number in each side of its corner at each station.
    fn at_stations(&self, plan: &Plan, sides: &Sides) -> Result<[Vec<usize>; 2], CannotBuild> {
        let mut at = [Vec::new(), Vec::new()];
        for (chain, at) in sides.chains.iter().zip(&mut at) {
            for station in 0..=BAYS {
                let x_m = plan.x_m(station);
                let number = match station {
                    0 => 0,
                    BAYS => chain.len() - 1,
                    _ => {
                        let is_there = |v: &u32| (self.place(*v).x - x_m).abs() <= plan.near_m;
                        let mut there = (0..chain.len()).filter(|&k| is_there(&chain[k]));
                        let first = there.next().ok_or(CannotBuild::RunsBack(x_m))?;
                        if there.next_back().is_some_and(|last| last > first + 1) {
                            return Err(CannotBuild::RunsBack(x_m));
                        }
                        first
                    }
                };
                at.push(number);
            }
            if at.windows(2).any(|pair| pair[0] >= pair[1]) {
                return Err(CannotBuild::RunsBack(plan.from_m));
            }
        }
        Ok(at)
    }

    /// Each station's arch: the corners between the rims, none where it does not rise. One
    /// that is level with the rim where the deck stops is shared with what is left open.
    fn arches(
        &mut self,
        plan: &Plan,
        deck: &Deck,
        sides: &mut Sides,
        at: &[Vec<usize>; 2],
    ) -> Vec<Vec<u32>> {
        let ends: Vec<[Vec3; 2]> = (0..=BAYS)
            .map(|k| [0, 1].map(|side| self.place(sides.chains[side][at[side][k]])))
            .collect();
        let half_m = |[starboard, port]: &[Vec3; 2]| (port - starboard).xy().norm() / 2.0;
        let widest = ends.iter().map(half_m).fold(0.0, f64::max);
        let higher = |count: usize| 1.0 / (1.0 - 1.0 / (count * count) as f64);
        let is_arched = deck.camber.value + deck.crown.value > 0.0;
        let mut arches: Vec<Vec<u32>> = Vec::with_capacity(BAYS + 1);
        for (station, pair) in ends.iter().enumerate() {
            let u = station as f64 / BAYS as f64;
            let rise = deck.camber.value * (half_m(pair) / widest).powi(2)
                + deck.crown.value * 4.0 * u * (1.0 - u) * higher(BAYS);
            let mut arch = Vec::new();
            let end = usize::from(station == BAYS);
            let shares = is_arched && station % BAYS == 0 && plan.stops[end];
            if half_m(pair) > 0.0 && (rise > 0.0 || shares) {
                for breadth in 1..2 * HALF_BREADTHS {
                    let across = breadth as f64 / HALF_BREADTHS as f64 - 1.0;
                    let base = pair[0] + (pair[1] - pair[0]) * ((across + 1.0) / 2.0);
                    let up = rise * (1.0 - across * across) * higher(2 * HALF_BREADTHS);
                    arch.push(self.add(base + Vec3::z() * up));
                }
            }
            if shares && rise == 0.0 {
                match end {
                    0 => sides.left[0].extend(&arch),
                    _ => sides.left[1].extend(arch.iter().rev()),
                }
            }
            arches.push(arch);
        }
        arches
    }

    /// Closes one end upright between the rim across it and its arch.
    fn close_end(
        &mut self,
        plan: &Plan,
        sides: &Sides,
        end: usize,
        arch: &[u32],
        part: FaceSource,
    ) {
        // From where the rim goes on: along the bottom, then back over the arch.
        let mut ring = sides.across(end);
        match end {
            0 => ring.extend(arch),
            _ => ring.extend(arch.iter().rev()),
        }
        ring.dedup();
        let begin = self.envelope.surface.faces.len();
        let shared = sides.left[end].last().or(sides.runs[end].last());
        let is_shared = shared.is_some_and(|v| arch.contains(v));
        if !is_shared && arch.len() + sides.runs[end].len() > 0 {
            let places: Vec<Vec3> = ring.iter().map(|v| self.place(*v)).collect();
            self.fill(&ring, &places, part);
        }
        let faces = begin..self.envelope.surface.faces.len();
        self.ends.push((faces, plan.stops[end]));
    }
}

/// The faces of a cap that a deck goes over: where decks before it have parted the opening, of
/// the stretch in which its ends lie, if they lie in one alone.
fn stretch_under(before: &Envelope, cap: FaceSource, deck: &Deck) -> HashSet<usize> {
    let all = before.numbers_of(cap);
    let surface = before.piece(&all).surface;
    let mut stretches = pieces(&surface);
    stretches.retain(|stretch| {
        let corners = stretch.iter().flat_map(|&face| surface.corners(face));
        let (least, most) = least_and_most(corners.map(|p| p.x));
        let ends = deck.ends.iter().flatten();
        ends.into_iter()
            .all(|end| end.value > least && end.value < most)
    });
    match stretches.as_slice() {
        [one] => one.iter().map(|&face| all[face]).collect(),
        _ => all.into_iter().collect(),
    }
}
