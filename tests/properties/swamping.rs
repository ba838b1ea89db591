//! Random boats with bulkheads, holes and things aboard: how water followed in ends
//! against what statics says of that end.
use std::f64::consts::TAU;
use std::fmt::Write as _;

use awash::boat::Boat;
use awash::equilibrium::{
    Craft, EquilibriumError, Hold, Liquid, OpenSea, Rest, find_rest, find_rest_from, space_of,
};
use awash::immersion::WaterPlane;
use awash::mesh::solids;
use awash::numerics::Vec3;
use awash::present::Present;
use awash::quantity::UnitSystem::Metric;
use awash::study::{Knocked, Start, SwampEnd, SwampError, SwampResult, flooded, swamp};

use crate::zoo::{ZooHull, bulkhead_box, open_tender};

/// How near the two ways must come: levels in m, the vertical in rad, water as a
/// share of the craft's displacement.
const NEAR: f64 = 1e-6;
/// A head under this is none, m: what `swamp` calls still, and what its own levels
/// may be off.
const NO_HEAD_M: f64 = 1e-7;
/// What may be left to run off over a sill, m.
const FILM_M: f64 = 1.01e-3;
/// Share of what a room holds at which it is full.
const FULL: f64 = 1.0 - 1e-9;

/// A row of numbers that is the same every time (Knuth's linear congruential
/// generator for 64 bits, The Art of Computer Programming 2, section 3.3.4).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.roll()
    }

    fn chance(&mut self, share: f64) -> bool {
        self.roll() < share
    }

    fn below(&mut self, count: usize) -> usize {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a whole number from nought, under `count`"
        )]
        let drawn = (self.roll() * count as f64) as usize;
        drawn % count
    }
}

/// A ring round `middle` square to an axis, as a rim in the boat file.
fn ring(middle: [f64; 3], axis: usize, radius: f64) -> String {
    let points = (0..12).map(|k| {
        let (sin, cos) = (TAU * f64::from(k) / 12.0).sin_cos();
        let mut point = middle;
        point[(axis + 1) % 3] += radius * cos;
        point[(axis + 2) % 3] += radius * sin;
        format!("[{}, {}, {}]", point[0], point[1], point[2])
    });
    points.collect::<Vec<_>>().join(", ")
}

struct Drawn {
    boat: Boat,
    knocked: Knocked,
}

/// A closed box or an open tender with up to three bulkheads and a sole.
fn drawn(number: u64) -> Drawn {
    let mut dice = Dice(number.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x0005_DEEC_E66D);
    for _ in 0..4 {
        dice.roll();
    }
    let is_tender = dice.chance(0.2);
    let (length, breadth, depth) = if is_tender {
        (3.2, 1.3, 0.5)
    } else {
        (
            dice.between(2.0, 5.0),
            dice.between(0.5, 1.6),
            dice.between(0.3, 0.7),
        )
    };
    let mut more = String::new();
    // Bulkheads across, a space forward of each; "inside" is what is left aft.
    let count = 1 + dice.below(4);
    let mut bulkheads: Vec<f64> = (1..count)
        .map(|k| length * (k as f64 + dice.between(-0.3, 0.3)) / count as f64)
        .collect();
    bulkheads.sort_by(f64::total_cmp);
    let mut names = vec!["inside".to_owned()];
    let mut sealed = vec![false];
    let mut holed = vec![is_tender];
    for (k, x) in bulkheads.iter().enumerate() {
        let name = format!("space {}", k + 1);
        let is_sealed = dice.chance(0.2);
        write!(
            more,
            "[[compartment]]\nname = \"{name}\"\nforward_of = {x}\n"
        )
        .expect("text");
        if let Some(next) = bulkheads.get(k + 1) {
            writeln!(more, "aft_of = {next}").expect("text");
        }
        if is_sealed {
            more.push_str("sealed = true\n");
        } else if dice.chance(0.5) {
            let share = dice.between(0.6, 1.0);
            writeln!(more, "permeability = {share}").expect("text");
        }
        names.push(name);
        sealed.push(is_sealed);
        holed.push(false);
    }
    for k in 1..names.len() {
        if sealed[k] || sealed[k - 1] || dice.chance(0.25) {
            continue;
        }
        // On the wall: the tender narrows to its keel and to its stem.
        let (off, height) = if is_tender {
            (0.1, [0.4, 0.8])
        } else {
            (0.3, [0.1, 0.9])
        };
        let at = [
            bulkheads[k - 1],
            dice.between(-off, off) * breadth,
            dice.between(height[0], height[1]) * depth,
        ];
        writeln!(
            more,
            "[[passage]]\nname = \"hole {k}\"\nbetween = [\"{}\", \"{}\"]\nat = [{}, {}, {}]\ndiameter = \"{} mm\"",
            names[k - 1], names[k], at[0], at[1], at[2], dice.between(20.0, 120.0)
        )
        .expect("text");
    }
    // Holes: at least one where nothing else is open.
    let holes = usize::from(!is_tender) + dice.below(3);
    let ends: Vec<f64> = std::iter::once(0.0)
        .chain(bulkheads.iter().copied())
        .chain([length])
        .collect();
    for k in 0..holes {
        let room = dice.below(names.len());
        if sealed[room] {
            continue;
        }
        let x = dice
            .between(0.2, 0.8)
            .mul_add(ends[room + 1] - ends[room], ends[room]);
        let radius = dice.between(0.01, 0.06);
        let rim = match dice.below(3) {
            // On its skin: along the keel, or in the transom, which is the aft room's.
            _ if is_tender && room > 0 => {
                let keel = 0.04 + 0.22 * (x / length).powi(4);
                ring([x, 0.0, keel], 2, radius)
            }
            _ if is_tender => {
                let middle = [0.0, dice.between(-0.2, 0.2), dice.between(0.2, 0.4)];
                ring(middle, 0, radius)
            }
            0 => ring([x, dice.between(-0.3, 0.3) * breadth, 0.02], 2, radius),
            1 => ring(
                [x, breadth / 2.0, dice.between(0.15, 0.8) * depth],
                1,
                radius,
            ),
            _ => ring(
                [x, dice.between(-0.3, 0.3) * breadth, depth],
                2,
                radius * 3.0,
            ),
        };
        write!(
            more,
            "[[opening]]\nname = \"opening {k}\"\nrim = [{rim}]\nfloods = \"{}\"\n",
            names[room]
        )
        .expect("text");
        holed[room] = true;
    }
    if !holed.contains(&true) {
        let rim = ring([0.3 * ends[1], 0.0, 0.02], 2, 0.03);
        write!(
            more,
            "[[opening]]\nname = \"drain\"\nrim = [{rim}]\nfloods = \"inside\"\n"
        )
        .expect("text");
    }
    for k in 0..dice.below(3) {
        let at = [
            dice.between(0.1, 0.9) * length,
            dice.between(-0.3, 0.3) * breadth,
            dice.between(0.1, 0.4) * depth,
        ];
        writeln!(
            more,
            "[[item]]\nname = \"thing {k}\"\nmass = \"{} kg\"\nat = [{}, {}, {}]\nvolume = \"{} L\"",
            dice.between(2.0, 30.0), at[0], at[1], at[2], dice.between(2.0, 20.0)
        )
        .expect("text");
    }
    let whole = length * breadth * depth * if is_tender { 0.5 } else { 1.0 };
    let mass_kg = 1000.0 * whole * dice.between(0.15, 0.55);
    let centre = Vec3::new(
        length * dice.between(0.42, 0.55),
        breadth * dice.between(-0.04, 0.04),
        depth * dice.between(0.2, 0.75),
    );
    let hull = if is_tender {
        ZooHull {
            mass_kg: 0.8 * mass_kg,
            centre_m: Vec3::new(1.35, centre.y, 0.5 * centre.z),
            more: String::new(),
            ..open_tender()
        }
    } else {
        let half = breadth / 2.0;
        ZooHull {
            name: "random box",
            surface: solids::cuboid(Vec3::new(0.0, -half, 0.0), Vec3::new(length, half, depth)),
            mass_kg,
            centre_m: centre,
            openings: Vec::new(),
            more: String::new(),
        }
    };
    let is_knocked = dice.chance(0.3);
    Drawn {
        boat: hull.boat_with(&more),
        knocked: Knocked {
            start: if is_knocked {
                Start::Knock
            } else {
                Start::Condition
            },
            held_s: match is_knocked {
                // Without end: till all that it reaches is full.
                true if dice.chance(0.4) => 1e9,
                true => dice.between(1.0, 40.0),
                false => 0.0,
            },
            under_m: 0.03,
            ..Knocked::default()
        },
    }
}

/// The rooms of a boat that water can get into, as in a time line.
fn rooms(boat: &Boat) -> Vec<usize> {
    let spaces = boat.compartments.iter().enumerate();
    let floodable = spaces.filter(|(_, space)| !space.sealed && !space.flooded);
    floodable.map(|(number, _)| number).collect()
}

/// A way for water: its rim and what is on either side, rooms or (`None`) the sea.
struct Way {
    rim: Vec<Vec3>,
    ends: [Option<usize>; 2],
}

fn ways(boat: &Boat) -> Vec<Way> {
    let rooms = rooms(boat);
    let room = |space: usize| rooms.iter().position(|number| *number == space);
    let openings = boat.openings.iter().filter(|o| o.lets_water_in());
    let openings = openings.flat_map(|opening| {
        // Of one over several rooms each has what lies over it.
        opening.spaces().filter_map(|(space, _)| {
            Some(Way {
                rim: opening.way_into(space).copied().collect(),
                ends: [None, Some(room(space)?)],
            })
        })
    });
    let passages = boat.passages.iter().filter_map(|passage| {
        let [one, other] = passage.between.map(room);
        Some(Way {
            rim: passage.rim.clone(),
            ends: [Some(one?), Some(other?)],
        })
    });
    openings.chain(passages).collect()
}

fn sill(rim: &[Vec3], up: &Vec3) -> f64 {
    rim.iter().map(|p| up.dot(p)).fold(f64::MAX, f64::min)
}

/// Where `swamp` left the craft.
struct End<'a> {
    boat: &'a Boat,
    plane: WaterPlane,
    water_m3: &'a [f64],
    levels_m: Vec<f64>,
    is_full: Vec<bool>,
    ways: Vec<Way>,
}

impl<'a> End<'a> {
    fn of(boat: &'a Boat, result: &'a SwampResult) -> Self {
        let line = result.time_line.last().expect("a line");
        let holds = |k: usize| boat.compartments[rooms(boat)[k]].capacity_m3();
        let count = line.compartments_m3.len();
        Self {
            boat,
            plane: WaterPlane {
                up: line.up.into(),
                level_m: line.outside_level_m,
            },
            water_m3: &line.compartments_m3,
            levels_m: line
                .levels_m
                .iter()
                .map(|level| level.unwrap_or(f64::NEG_INFINITY))
                .collect(),
            is_full: (0..count)
                .map(|k| line.compartments_m3[k] >= FULL * holds(k))
                .collect(),
            ways: ways(boat),
        }
    }

    /// Rooms that a wet way joins to the sea, from room to room; `counts` says which
    /// of those that a way leads to are joined.
    fn joined(&self, plane: &WaterPlane, counts: impl Fn(usize) -> bool) -> Vec<bool> {
        let mut joined = vec![false; self.water_m3.len()];
        loop {
            let before = joined.clone();
            for way in &self.ways {
                let is_wet = sill(&way.rim, &plane.up) < plane.level_m - NO_HEAD_M;
                for (from, to) in [(0, 1), (1, 0)] {
                    let is_sea = way.ends[from].is_none_or(|room| before[room]);
                    if let Some(room) = way.ends[to].filter(|_| is_wet && is_sea) {
                        joined[room] |= counts(room);
                    }
                }
            }
            if joined == before {
                return joined;
            }
        }
    }

    /// The craft with the joined rooms lost to the sea, what stands in the others
    /// loose in them.
    fn lost(&self, joined: &[bool]) -> Craft {
        let boat = self.boat;
        let mut craft = Craft::without_fills(boat).with_fills_of(boat, |_, space| space.sealed);
        for (k, number) in rooms(boat).into_iter().enumerate() {
            let space = space_of(&boat.compartments[number]);
            if joined[k] {
                craft.displacers.take_away(&space);
            } else if self.water_m3[k] > 0.0 {
                craft.liquids.push(Liquid {
                    space,
                    volume_m3: self.water_m3[k],
                    stands_in: None,
                    relative_density: 1.0,
                    surface_near_m: None,
                });
            }
        }
        craft
    }

    /// Whether a hundredth of the inside more in a room lifts a sill out of the sea.
    fn closes(&self, rim: &[Vec3], room: usize) -> bool {
        let boat = self.boat;
        let mut craft = self.lost(&vec![false; self.water_m3.len()]);
        let inside: f64 = rooms(boat)
            .into_iter()
            .map(|k| boat.compartments[k].capacity_m3())
            .sum();
        // The rooms' water comes last, in their order, those without left out.
        let wet = |k: &usize| self.water_m3[*k] > 0.0;
        let count = (0..self.water_m3.len()).filter(wet).count();
        let Some(place) = (0..self.water_m3.len()).filter(wet).position(|k| k == room) else {
            return false;
        };
        let first = craft.liquids.len() - count;
        craft.liquids[first + place].volume_m3 += 0.01 * inside;
        find_rest_from(&craft, &self.plane, Hold::Nothing)
            .is_ok_and(|rest| sill(rim, &rest.plane().up) > rest.plane().level_m)
    }

    /// No wet way has a head across it.
    fn is_still(&self) -> Result<(), String> {
        // A full room that no air gets into has the head of what it is joined to.
        let count = self.water_m3.len();
        let mut heads: Vec<f64> = self.levels_m.clone();
        for _ in 0..=count {
            for way in &self.ways {
                let sill = sill(&way.rim, &self.plane.up);
                for (from, to) in [(0, 1), (1, 0)] {
                    let supply = way.ends[from].map_or(self.plane.level_m, |room| heads[room]);
                    if let Some(room) = way.ends[to].filter(|room| self.is_full[*room])
                        && supply > sill
                    {
                        heads[room] = heads[room].max(supply);
                    }
                }
            }
        }
        for (number, way) in self.ways.iter().enumerate() {
            let [one, other] = way
                .ends
                .map(|end| end.map_or(self.plane.level_m, |k| heads[k]));
            let sill = sill(&way.rim, &self.plane.up);
            let (high, low) = (one.max(other), one.min(other));
            let (from, to) = if one > other {
                (way.ends[0], way.ends[1])
            } else {
                (way.ends[1], way.ends[0])
            };
            let runs_dry = || from.is_some() || to.is_some_and(|to| self.closes(&way.rim, to));
            let within = if low < sill && runs_dry() {
                FILM_M
            } else {
                NO_HEAD_M
            };
            let head = high - low.max(sill);
            if head > within {
                return Err(format!("way {number} has {head:e} m across it"));
            }
        }
        Ok(())
    }
}

/// What a boat's end was.
#[derive(Default, Debug)]
struct Counts {
    sunk: usize,
    floats_with_a_dry_room: usize,
    over_60_deg: usize,
    recovers: usize,
    joined: usize,
    not_settled: usize,
}

fn check(number: u64, counts: &mut Counts) -> Result<(), String> {
    let Drawn { boat, knocked } = drawn(number);
    let result = match swamp(&boat, &knocked) {
        Ok(result) => result,
        // Too heavy to float at all: no question.
        Err(SwampError::Equilibrium(EquilibriumError::Sinks { .. })) => return Ok(()),
        Err(error) => return Err(error.to_string()),
    };
    let end = End::of(&boat, &result);
    runs_on(&result)?;
    match result.end {
        SwampEnd::Sunk => {
            counts.sunk += 1;
            sinks_by_statics(&end)
        }
        SwampEnd::NotSettled => {
            counts.not_settled += 1;
            match end.is_still() {
                Ok(()) => Err("not settled, though no way has a head".into()),
                Err(_) => Ok(()),
            }
        }
        SwampEnd::Recovers | SwampEnd::AfloatSwamped => {
            counts.recovers += usize::from(result.end == SwampEnd::Recovers);
            let is_dry = |water: &f64| *water <= 0.0;
            counts.floats_with_a_dry_room += usize::from(end.water_m3.iter().any(is_dry));
            counts.over_60_deg += usize::from(end.plane.up.z < 0.5);
            end.is_still()?;
            let level = |room: usize| {
                end.is_full[room] || (end.levels_m[room] - end.plane.level_m).abs() < NEAR
            };
            let joined = end.joined(&end.plane, level);
            counts.joined += usize::from(joined.contains(&true));
            let craft = end.lost(&joined);
            let rest = find_rest_from(&craft, &end.plane, Hold::Nothing)
                .map_err(|error| format!("afloat, but by lost buoyancy {error}"))?;
            same(&end, &joined, &rest)
        }
    }
}

/// The lost-buoyancy rest is where `swamp` ended, water for water.
fn same(end: &End<'_>, joined: &[bool], rest: &Rest) -> Result<(), String> {
    let plane = rest.plane();
    let turned = (plane.up - end.plane.up).norm();
    let sunk = (plane.level_m - end.plane.level_m).abs();
    if turned > NEAR || sunk > NEAR {
        return Err(format!("turned by {turned:e} rad, sunk by {sunk:e} m"));
    }
    for (k, number) in rooms(end.boat).into_iter().enumerate() {
        let space = space_of(&end.boat.compartments[number]);
        let want = space.immerse(plane).volume_m3;
        let off = (end.water_m3[k] - want).abs();
        if joined[k] && off > NEAR * rest.immersion.volume_m3 {
            return Err(format!("room {k} holds {off:e} m³ too much or too little"));
        }
    }
    Ok(())
}

/// With the rooms lost that wet ways join to the sea, and those that this joins in
/// turn, nothing holds the craft up.
fn sinks_by_statics(end: &End<'_>) -> Result<(), String> {
    let mut plane = end.plane;
    let mut joined = vec![false; end.water_m3.len()];
    loop {
        let more = end.joined(&plane, |_| true);
        let was = joined.clone();
        for (is, more) in joined.iter_mut().zip(more) {
            *is |= more;
        }
        let craft = end.lost(&joined);
        match find_rest(&craft, &plane.up, Hold::Nothing) {
            Err(EquilibriumError::Sinks { .. }) => return Ok(()),
            Err(error) => return Err(error.to_string()),
            Ok(_) if was == joined => {
                return Err(format!(
                    "it sinks, but by lost buoyancy it floats: {joined:?}"
                ));
            }
            Ok(rest) => plane = *rest.plane(),
        }
    }
}

/// No water stands where it is said to run: from one line to the next what flows has
/// gone somewhere, or a little of it, but for a film that is left to run. A craft that
/// jumps back to where it was moved none.
fn runs_on(result: &SwampResult) -> Result<(), String> {
    for pair in result.time_line.windows(2) {
        let [was, is] = pair else { continue };
        // Level with the sea to rounding: a root of it flows, to and fro.
        let is_level = |level: &f64| (was.outside_level_m - level).abs() <= NO_HEAD_M;
        if was.levels_m.iter().flatten().all(is_level) {
            continue;
        }
        let moved = was.compartments_m3.iter().zip(&is.compartments_m3);
        let moved: f64 = moved.map(|(was, is)| (was - is).abs()).sum();
        let runs = was.inflow_m3_s.abs() * (is.time_s - was.time_s);
        if runs > 1e-3 * result.inside_m3 && moved <= 1e-12 * result.inside_m3 {
            return Err(format!(
                "{runs:e} m³ ran from {:.1} s to {:.1} s, and none moved",
                was.time_s, is.time_s
            ));
        }
    }
    Ok(())
}

/// Boats of the row whose craft turns over on the way, or with a room whose surface
/// shrinks to a corner as it fills: their water once stood while it was said to run. The
/// first has a hatch over two rooms, one of them high and dry: water once came into that
/// too, and ran out again without end.
#[test]
fn water_runs_on_where_a_craft_turns_over_or_a_room_is_nearly_full() {
    let mut counts = Counts::default();
    let wrong: Vec<String> = [156, 104, 278, 296, 300, 308, 379, 407]
        .into_iter()
        .filter_map(|number| {
            Some(format!(
                "boat {number}: {}",
                check(number, &mut counts).err()?
            ))
        })
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert_eq!(counts.not_settled, 0, "{counts:?}");
}

/// A closed box 4 × 1 × 0.5 m of 700 kg.
fn box_in_halves() -> ZooHull {
    ZooHull {
        name: "box in halves",
        surface: solids::cuboid(Vec3::new(0.0, -0.5, 0.0), Vec3::new(4.0, 0.5, 0.5)),
        mass_kg: 700.0,
        centre_m: Vec3::new(2.0, 0.0, 0.2),
        openings: Vec::new(),
        more: String::new(),
    }
}

/// That box with a hole in the bottom that lies over the fore half by 4 %, a strip
/// of 16 cm²: not a pinhole, so it sinks the box as well.
#[test]
fn a_strip_of_an_opening_over_another_room_floods_that_too() {
    let boat = box_in_halves().boat_with(
        "[[compartment]]\nname = \"fore\"\nforward_of = 2\npermeability = 1\n\
         [[opening]]\nname = \"split\"\nrim = [[1.808, -0.1, 0.01], [2.008, -0.1, 0.01], [2.008, 0.1, 0.01], [1.808, 0.1, 0.01]]\n",
    );
    let over: Vec<(usize, f64)> = boat.openings[0].spaces().collect();
    let fore = over
        .iter()
        .find(|(space, _)| boat.compartments[*space].name == "fore");
    let (_, share) = fore.expect("it lies over the fore half too");
    assert!((share - 0.04).abs() < 1e-9, "{share}");
    assert!((boat.openings[0].over[1].area_m2() - 0.0016).abs() < 1e-9);
    assert!(
        boat.doubts
            .iter()
            .any(|doubt| doubt.to_string().contains("4.0 % over fore"))
    );
    let knocked = Knocked {
        start: Start::Condition,
        ..Knocked::default()
    };
    let result = swamp(&boat, &knocked).expect("it floats at first");
    assert_eq!(result.end_air_lost, SwampEnd::Sunk);
    let result = flooded(&boat).expect("it floats dry");
    assert!(result.cases.iter().all(|case| !case.end.floats));
}

/// That box with a bulkhead across its middle and a hole in the bottom over both halves.
/// Either half alone, 1 m³, would hold it up: with both open nothing does. The hole lies over
/// each half by a third and two thirds.
#[test]
fn an_opening_over_two_rooms_floods_both() {
    let hull = box_in_halves();
    let more = "[[compartment]]\nname = \"fore\"\nforward_of = 2\npermeability = 1\n\
                [[opening]]\nname = \"split\"\nrim = [[1.9, -0.1, 0.01], [2.2, -0.1, 0.01], [2.2, 0.1, 0.01], [1.9, 0.1, 0.01]]\n";
    let boat = hull.boat_with(more);
    let spaces: Vec<(usize, f64)> = boat.openings[0].spaces().collect();
    assert_eq!(spaces.len(), 2, "{spaces:?}");
    let fore = |space: usize| boat.compartments[space].name == "fore";
    for (space, share) in spaces {
        let want = if fore(space) { 2.0 / 3.0 } else { 1.0 / 3.0 };
        // Looked at from some hundred places.
        assert!((share - want).abs() < 0.1, "{space}: {share}");
    }
    let knocked = Knocked {
        start: Start::Condition,
        ..Knocked::default()
    };
    let result = swamp(&boat, &knocked).expect("it floats at first");
    assert_eq!(
        result.end_air_lost,
        SwampEnd::Sunk,
        "{}",
        result.summary(Metric)
    );
    let result = flooded(&boat).expect("it floats dry");
    assert!(
        result
            .cases
            .iter()
            .all(|case| case.end_floats_in_band == [false, false])
    );
    let told = |boat: &Boat| -> Vec<String> {
        let doubts = boat.doubts.iter().map(ToString::to_string);
        doubts.filter(|text| text.contains("\"split\"")).collect()
    };
    assert!(
        told(&boat)[0].contains("each is flooded through what lies over it"),
        "{:?}",
        told(&boat)
    );
    // Bow up by 2.9° (1 in 20) with the water on the bulkhead: only what is aft of it is wet,
    // and the other way round.
    let sea = OpenSea::of(&boat);
    for (bow_up, wet) in [(0.05, "inside"), (-0.05, "fore")] {
        let up = Vec3::new(bow_up, 0.0, 1.0).normalize();
        let level_m = up.dot(&Vec3::new(2.0, 0.0, 0.01));
        let reached = sea.reached(&[], &WaterPlane { up, level_m });
        let names = reached
            .iter()
            .map(|(space, _)| boat.compartments[*space].name.as_str());
        assert_eq!(names.collect::<Vec<_>>(), [wet]);
    }
    // Where the file says that a wall keeps it to one, it does, and is doubted.
    let one = hull.boat_with(&format!("{more}floods = \"fore\"\n"));
    assert_eq!(one.openings[0].spaces().count(), 1);
    assert!(
        told(&one)[0].contains("sends all its water into fore"),
        "{:?}",
        told(&one)
    );
}

fn check_all(numbers: std::ops::Range<u64>) -> Counts {
    let mut counts = Counts::default();
    let mut wrong = Vec::new();
    for number in numbers {
        if let Err(what) = check(number, &mut counts) {
            wrong.push(format!("boat {number}: {what}"));
        }
    }
    assert!(wrong.is_empty(), "{counts:?}\n{}", wrong.join("\n"));
    counts
}

#[test]
fn water_followed_in_ends_where_statics_says() {
    let counts = check_all(0..40);
    assert!(
        counts.sunk >= 5 && counts.floats_with_a_dry_room >= 5,
        "{counts:?}"
    );
    assert_eq!(counts.not_settled, 0, "{counts:?}");
}

/// An opening whose place lies in a sealed space, all of it, is refused; one of whose
/// rim only a line is known is doubted, and counted: the box of the zoo floods through
/// it as through any other.
#[test]
fn an_opening_that_does_nothing_is_refused_or_doubted() {
    let load = |rim: &str, more: &str| {
        let folder = tempfile::tempdir().expect("a folder");
        let port = format!("[[opening]]\nname = \"port\"\nrim = [{rim}]\n{more}");
        Boat::load(&bulkhead_box().write(folder.path(), &port))
    };
    let aft = "[0.2, 0.5, 0.1], [0.4, 0.5, 0.1], [0.4, 0.5, 0.2]";
    let refused = load(aft, "").expect_err("the stern is sealed").to_string();
    assert!(
        refused.contains("\"port\" leads into compartment \"stern\""),
        "{refused}"
    );
    load(aft, "state = \"covered\"\n").expect("nothing comes in");
    let line = load("[1.2, 0.5, 0.05], [1.4, 0.5, 0.05]", "").expect("doubted");
    let doubt = line
        .doubts
        .iter()
        .find(|doubt| doubt.to_string().contains("only a line"));
    assert!(doubt.is_some(), "{:?}", line.doubts);
    let knocked = Knocked {
        start: Start::Condition,
        ..Knocked::default()
    };
    let result = swamp(&line, &knocked).expect("it floats at first");
    let inside = result.time_line.last().expect("a line").water_m3;
    assert!(
        inside > 0.1 && result.end != SwampEnd::Recovers,
        "{}",
        result.summary(Metric)
    );
}

#[test]
#[ignore = "500 boats, some two minutes: cargo test --test properties 500_boats -- --ignored"]
fn water_followed_in_ends_where_statics_says_on_500_boats() {
    let counts = check_all(0..500);
    assert!(counts.sunk >= 100, "{counts:?}");
    assert!(counts.floats_with_a_dry_room >= 100, "{counts:?}");
    assert!(counts.over_60_deg >= 50, "{counts:?}");
    // What is left rocks to and fro, as a craft of two rests may.
    assert!(counts.not_settled <= 10, "{counts:?}");
}
