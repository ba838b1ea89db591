//! The steps of mending, each on the mesh as the last one left it.
use super::super::check::{Examination, Loop, SPECK_SHARE};
use super::super::clean::faces_to_keep;
use super::super::columns::ColumnAudit;
use super::super::doubt::{Doubt, DoubtKind, at};
use super::super::placement::{Moved, Placement};
use super::super::prepare::{PrepareOptions, Prepared, prepare};
use super::super::raw::FacetNumbers;
use super::super::surface::Surface;
use super::super::survey::Survey;
use super::super::topology::{NO_SHELL, Topology};
use super::super::units::Confidence;
use super::averaged::averaged;
use super::floor::Floor;
use super::posture::{Facing, Level, Posture, TiltError, Told, find_posture};
use super::reach::SMOOTH_M;
use super::unseen::Unseen;
use super::{Crop, MendError, MendRecipe, MendStep, Mended, MeshSummary, flat, rebuild, rim};
use crate::numerics::Vec3;
use crate::quantity::{mm, sentence};

/// A loose shell with less of the largest's area than this is a speck.
const SPECK_AREA_SHARE: f64 = 1e-3;
/// What lies within so many of a floor's reaches of where it was, with less than this share
/// of the largest shell's area, is a crumb of it.
const CRUMB_REACHES: f64 = 3.0;
const CRUMB_SHARE: f64 = 0.01;
/// A fitted rim is that of an opening whose middle lies this near, as a share of
/// its length: rims do not lie in one another.
const RIM_NEAR_SHARE: f64 = 0.1;

/// A hull stood on a floor that hid a part of it longer round than this, m.
const STOOD_ROUND_M: f64 = 0.3;
/// What lies past a crop by no more than so many deviations of the noise stays.
const PAST_NOISE: f64 = 5.0;
/// A hull whose sides differ is told of where its level is known to no more than this, deg: a
/// spirit level shows as much.
const LEVEL_DEG: f64 = 0.2;
/// A lowest point that moved less than this, m, is where it was.
pub(super) const MOVED_M: f64 = 1e-6;

/// A mesh on the bench, and what was done to it so far.
pub(super) struct Bench<'a> {
    pub(super) surface: Surface,
    pub(super) steps: Vec<MendStep>,
    pub(super) doubts: Vec<Doubt>,
    /// What brought the scan near its true size.
    near: Moved,
    /// How it moved since. "Frame of the scan" is that of the scan near its size.
    pub(super) moved: Moved,
    /// Centre plane, where a mirrored half tells it.
    pub(super) known_plane: Option<(Vec3, f64)>,
    /// A floor that was taken away, in the frame of the scan.
    pub(super) floor: Option<Floor>,
    /// Whether the hull stood on it, so that its base is there.
    pub(super) stood: bool,
    pub(super) skin_thickness_m: Option<f64>,
    /// Middles of fitted rims, and how far off they may lie, in the frame of the
    /// scan, m.
    pub(super) rims: Vec<(Vec3, f64)>,
    /// What was filled or mirrored, and may hold more or less.
    pub(super) unseen: Vec<Unseen>,
    /// How far a mirrored half may be rolled about the hull's length, ± rad.
    pub(super) roll_error: f64,
    /// The number of the flat part in which a half was mirrored that nobody gave.
    pub(super) mirrored_in: Option<usize>,
    /// Nine tenths of its edge lie this near to that, m.
    pub(super) cut_off_m: f64,
    /// What that plane leaves open of the volume under a small craft's waterline, as a share ±.
    pub(super) mirror_share: f64,
    /// How rough it was found to be, as a standard deviation, m.
    noise_m: f64,
    pub(super) say: &'a dyn Fn(&'static str),
}

/// The mesh as it came: what was seen of it, and its faces once cleaned.
pub(super) struct Came {
    summary: MeshSummary,
    cleaned: Surface,
}

impl Came {
    /// With the volume that it encloses, where it can be closed, and what closing shows.
    pub(super) fn closed(self) -> MeshSummary {
        let prepared = prepare(self.cleaned, &PrepareOptions::default());
        let audit = prepared.examination.audit.as_ref();
        let faults = audit.map_or(0, |audit| {
            usize::from(audit.is_doubled()) + usize::from(audit.is_inside_out())
        });
        MeshSummary {
            defects: self.summary.defects + faults,
            volume_m3: prepared.closed.then(|| prepared.surface.signed_volume_m3()),
            ..self.summary
        }
    }
}

/// A closed surface whose last faces are caps.
pub(super) struct Closed {
    pub(super) surface: Surface,
    /// Faces before the caps of openings.
    pub(super) skin_faces: usize,
    examination: Examination,
}

impl<'a> Bench<'a> {
    pub(super) fn with(surface: Surface, say: &'a dyn Fn(&'static str)) -> Self {
        Self {
            surface,
            steps: Vec::new(),
            doubts: Vec::new(),
            near: Moved::default(),
            moved: Moved::default(),
            known_plane: None,
            floor: None,
            stood: false,
            skin_thickness_m: None,
            rims: Vec::new(),
            unseen: Vec::new(),
            roll_error: 0.0,
            mirrored_in: None,
            cut_off_m: 0.0,
            mirror_share: 0.0,
            noise_m: 0.0,
            say,
        }
    }

    pub(super) fn log(&mut self, step: &'static str, done: impl Into<String>) {
        let done = done.into();
        self.steps.push(MendStep { step, done });
    }

    pub(super) fn something_left(&self, step: &'static str) -> Result<(), MendError> {
        if self.surface.faces.is_empty() {
            Err(MendError::NothingLeft { step })
        } else {
            Ok(())
        }
    }

    /// Takes out duplicates and faces without area, and makes faces agree; tells what the
    /// mesh was before.
    pub(super) fn clean(&mut self, facets: &FacetNumbers) -> Came {
        (self.say)("cleaning");
        let mut topology = Topology::of(&self.surface);
        let survey = Survey::of(&self.surface, &topology, facets);
        let summary = MeshSummary::of(&self.surface, &survey.examination, None);
        let mut said = Vec::new();
        if let Some(keep) = faces_to_keep(&self.surface, &topology, &survey, &mut said) {
            let mut flags = keep.iter();
            let faces = &mut self.surface.faces;
            faces.retain(|_| flags.next().copied().unwrap_or(true));
            self.surface.drop_unused_vertices();
            topology = Topology::of(&self.surface);
        }
        let turned = topology.turned.iter().filter(|t| **t).count();
        for (face, turned) in self.surface.faces.iter_mut().zip(&topology.turned) {
            if *turned {
                face.swap(1, 2);
            }
        }
        let mut done: Vec<String> = said.iter().map(ToString::to_string).collect();
        if turned > 0 {
            done.push(format!(
                "{turned} facets that disagreed with their neighbours were turned over"
            ));
        }
        if done.is_empty() {
            done.push("nothing to clean".into());
        }
        self.log("clean", done.join("; "));
        Came {
            summary,
            cleaned: self.surface.clone(),
        }
    }

    pub(super) fn drop_floor(&mut self) -> Result<(), MendError> {
        (self.say)("looking for a floor");
        let floor = flat::find_floor(&self.surface).ok_or(MendError::NoFloor)?;
        let had = self.surface.faces.len();
        self.floor = Some(Floor::under(&self.surface, &floor));
        flat::remove_floor(&mut self.surface, &floor);
        self.something_left("floor")?;
        let gone = had - self.surface.faces.len();
        self.log(
            "floor",
            format!(
                "a flat part with {:.0} % of the area was taken for the floor and removed ({gone} facets)",
                100.0 * floor.share
            ),
        );
        Ok(())
    }

    pub(super) fn drop_specks(&mut self, largest_only: bool) -> Result<(), MendError> {
        (self.say)("dropping loose pieces");
        let topology = Topology::of(&self.surface);
        let mut area = vec![0.0; topology.shells];
        // Where a floor was, each shell's least height over it, m.
        let mut over_floor_m = vec![f64::INFINITY; topology.shells];
        let mut bounds =
            vec![(Vec3::repeat(f64::INFINITY), Vec3::repeat(f64::NEG_INFINITY)); topology.shells];
        for (face, &shell) in topology.shell.iter().enumerate() {
            if shell != NO_SHELL {
                let shell = shell as usize;
                area[shell] += self.surface.face_area_m2(face);
                for v in self.surface.corners(face) {
                    bounds[shell] = (bounds[shell].0.inf(&v), bounds[shell].1.sup(&v));
                    if let Some(floor) = &self.floor {
                        over_floor_m[shell] = over_floor_m[shell].min(floor.over_m(&v).abs());
                    }
                }
            }
        }
        let largest = (0..area.len()).max_by(|a, b| area[*a].total_cmp(&area[*b]));
        let limit_m = SPECK_SHARE * self.surface.diagonal_m();
        let largest_m2 = largest.map_or(0.0, |s| area[s]);
        let crumb_reach_m = self
            .floor
            .map_or(0.0, |floor| CRUMB_REACHES * floor.reach_m);
        let is_crumb =
            |s: usize| over_floor_m[s] < crumb_reach_m && area[s] < CRUMB_SHARE * largest_m2;
        let is_speck = |s: usize| {
            (bounds[s].1 - bounds[s].0).norm() < limit_m
                || area[s] < SPECK_AREA_SHARE * largest_m2
                || is_crumb(s)
        };
        let keep: Vec<bool> = (0..area.len())
            .map(|s| Some(s) == largest || !(largest_only || is_speck(s)))
            .collect();
        let dropped = keep.iter().filter(|k| !**k).count();
        if dropped > 0 {
            let had = self.surface.faces.len();
            let mut shells = topology.shell.iter();
            self.surface.faces.retain(|_| {
                let shell = shells.next().copied().unwrap_or(NO_SHELL);
                keep.get(shell as usize).copied().unwrap_or(false)
            });
            self.surface.drop_unused_vertices();
            let gone = had - self.surface.faces.len();
            let what = if largest_only {
                "all but the largest shell were".to_owned()
            } else {
                format!(
                    "loose pieces smaller than {limit_m:.3} m, with under {:.1} % of the largest piece's area, or with under {:.0} % where a floor was, were",
                    100.0 * SPECK_AREA_SHARE,
                    100.0 * CRUMB_SHARE
                )
            };
            self.log(
                "shells",
                format!("{what} removed: {dropped} shells, {gone} facets"),
            );
        }
        self.something_left("shells")
    }

    pub(super) fn upright(
        &mut self,
        level: &Level,
        recipe: &MendRecipe,
    ) -> Result<Posture, MendError> {
        let told = Told {
            upside_down: recipe.upside_down,
            swap_ends: recipe.swap_ends,
            ..Told::default()
        };
        let posture = self.turn_upright(level, told)?;
        let drawn_back = self.draw_back(&posture, level);
        for (sure, text) in [
            (
                posture.up,
                "which way is up is a guess, and the hull was not turned over for it: look at it, and give `upside_down` if it is wrong",
            ),
            (
                posture.bow,
                "which end is the bow is a guess: look at it, and give `swap_ends` if it is wrong",
            ),
        ] {
            if sure == Confidence::Guess {
                self.doubts.push(Doubt::new(DoubtKind::Place, text));
            }
        }
        self.doubts.extend(doubt_lopsided(&posture));
        let by_rim = by_rim_in_words(level, &posture);
        self.log(
            "upright",
            format!(
                "turned by {:.2}°; up: {} ({}); bow: {} ({}){by_rim}; {}; origin aftmost, on the centre plane, at the lowest point{drawn_back}",
                posture.off_by_deg,
                posture.up_because,
                posture.up,
                posture.bow_because,
                posture.bow,
                if self.known_plane.is_some() {
                    "one side is the other's mirror image, so their agreement says nothing".to_owned()
                } else {
                    format!(
                        "sides agree within {:.1} mm at nine places of ten",
                        1e3 * posture.plane.nine_tenths_m
                    )
                }
            ),
        );
        Ok(posture)
    }

    /// Turns it upright once more, now that what it stood on is gone: as it faced, level and
    /// with its origin by what is left.
    pub(super) fn upright_anew(
        &mut self,
        level: &Level,
        before: &Posture,
    ) -> Result<Posture, MendError> {
        let facing = Facing {
            up: Vec3::z(),
            up_sure: before.up,
            up_because: before.up_because,
            forward: Vec3::x(),
            bow_sure: before.bow,
            bow_because: before.bow_because,
        };
        let told = Told {
            facing: Some(facing),
            ..Told::default()
        };
        let posture = self.turn_upright(level, told)?;
        let drawn_back = self.draw_back(&posture, level);
        self.log(
            "upright anew",
            format!(
                "by what is left since the crop: turned by {:.2}°, the origin {:.1} mm higher{drawn_back}",
                posture.off_by_deg,
                1e3 * posture.origin_m.z
            ),
        );
        Ok(Posture {
            off_by_deg: before.off_by_deg,
            ..posture
        })
    }

    /// Finds how it lies, given what is told of it beside the floor and the plane of a
    /// mirrored half, and moves it into that frame.
    fn turn_upright(&mut self, level: &Level, told: Told) -> Result<Posture, MendError> {
        (self.say)("turning upright");
        // What the floor hid is no opening.
        let (by_floor, loops): (Vec<Loop>, Vec<Loop>) = self
            .holes()
            .into_iter()
            .partition(|hole| self.is_left_by_floor(hole));
        self.stood = by_floor.iter().any(|hole| hole.length_m > STOOD_ROUND_M);
        let floor = self.floor_now();
        let told = Told {
            plane: self.plane_now(),
            from_floor: floor.map(|floor| floor.normal),
            stood_on: floor.filter(|_| self.stood).map(|floor| floor.plane()),
            noise_m: self.rough_m(),
            ..told
        };
        let posture = find_posture(&self.surface, &loops, &told, level)?;
        let moved = Moved {
            turn: posture.turn,
            scale: 1.0,
            shift_m: -posture.origin_m,
        };
        moved.apply(&mut self.surface);
        self.moved = self.moved.then(&moved);
        self.noise_m = posture.noise_m / self.moved.scale;
        Ok(posture)
    }

    /// The centre plane that a mirrored half tells, as all lies now.
    fn plane_now(&self) -> Option<(Vec3, f64)> {
        self.known_plane.map(|(normal, offset_m)| {
            let on = self.moved.point(&(normal * offset_m));
            let normal = self.moved.turn * normal;
            (normal, normal.dot(&on))
        })
    }

    /// Brings a scan of unknown scale near its true size, since the steps to come know
    /// their lengths in metres. Placing it, once it lies right, does the rest.
    pub(super) fn scale_near(&mut self, length_m: f64) -> Result<(), MendError> {
        let to_length = Placement {
            scale_to_length_m: Some(length_m),
            ..Placement::default()
        };
        self.near = to_length.apply(&mut self.surface)?;
        self.floor = self.floor.map(|floor| floor.moved(&self.near));
        Ok(())
    }

    pub(super) fn place(&mut self, placement: &Placement) -> Result<(), MendError> {
        let moved = placement.apply(&mut self.surface)?;
        self.moved = self.moved.then(&moved);
        let mut done = Vec::new();
        if placement.turn.is_some() {
            done.push(format!("turned by {:.2}°", moved.turn.angle().to_degrees()));
        }
        if let Some(length) = placement.scale_to_length_m {
            let scale = self.near.scale * moved.scale;
            done.push(format!("scaled by {scale:.5} to {length:.3} m"));
        }
        if let Some(origin) = &placement.origin_m {
            done.push(format!("{} became the origin", at(origin)));
        }
        self.log("place", done.join("; "));
        Ok(())
    }

    pub(super) fn crop(&mut self, crop: &Crop) -> Result<(), MendError> {
        (self.say)("cropping");
        let had = self.surface.area_m2();
        crop.apply(
            &mut self.surface,
            PAST_NOISE * self.noise_m * self.moved.scale,
        );
        self.something_left("crop")?;
        let gone = had - self.surface.area_m2();
        self.log("crop", format!("{gone:.3} m² of surface were cut off"));
        Ok(())
    }

    /// Fills small holes and turns everything outward.
    pub(super) fn fill(&mut self, under_m: Option<f64>) -> Result<Closed, MendError> {
        (self.say)("filling and turning outward");
        let mut options = PrepareOptions::default();
        if let Some(under_m) = under_m {
            options.fill_under_m = under_m;
        }
        let prepared = prepare(std::mem::take(&mut self.surface), &options);
        let mended: Vec<f64> = prepared
            .loops
            .iter()
            .filter(|l| l.mended)
            .map(|l| l.length_m)
            .collect();
        self.log(
            "fill",
            match mended.first() {
                Some(longest) => format!(
                    "{} holes shorter round than {:.3} m were filled, the longest {longest:.3} m round",
                    mended.len(),
                    options.fill_under_m
                ),
                None => format!("no hole shorter round than {:.3} m", options.fill_under_m),
            },
        );
        if !prepared.closed {
            let why = prepared
                .doubts
                .iter()
                .find(|d| d.kind == DoubtKind::NotClosed)
                .map_or_else(String::new, ToString::to_string);
            return Err(MendError::NotClosed(why));
        }
        // What was said of small holes and facets is in the log.
        let still = |d: &&Doubt| {
            !matches!(
                d.kind,
                DoubtKind::Defect | DoubtKind::Mended | DoubtKind::Turned | DoubtKind::Capped
            )
        };
        self.doubts
            .extend(prepared.doubts.iter().filter(still).cloned());
        Ok(Closed::of(prepared))
    }

    /// Sets the heights over the lowest point again, where a crop or what was filled
    /// has made that another.
    pub(super) fn settle_origin(&mut self, closed: &mut Closed) {
        if self.stood {
            // The base is the floor; noise at the edge of what it hid does not lower it.
            for v in &mut closed.surface.vertices {
                v.z = v.z.max(0.0);
            }
        }
        let Some((lo, _)) = closed.surface.bounds() else {
            return;
        };
        if lo.z.abs() < MOVED_M {
            return;
        }
        let lowered = Moved {
            shift_m: -Vec3::z() * lo.z,
            ..Moved::default()
        };
        lowered.apply(&mut closed.surface);
        self.moved = self.moved.then(&lowered);
        self.log(
            "origin",
            format!(
                "the lowest point lies {:.1} mm {} since the crop or what was filled: the origin is there now",
                1e3 * lo.z.abs(),
                if lo.z < 0.0 { "lower" } else { "higher" }
            ),
        );
    }

    pub(super) fn finish(
        mut self,
        closed: Closed,
        before: MeshSummary,
        posture: Option<Posture>,
    ) -> Result<Mended, MendError> {
        let volume_m3 = closed.surface.signed_volume_m3();
        let by_unseen = self.by_what_was_not_seen(&closed.surface);
        let sinks_m = by_unseen.map(|(sinks_m, _)| sinks_m);
        let not_seen = self.not_seen(by_unseen);
        let tilt_error = posture.as_ref().map(|posture| {
            let tilted = by_unseen.map(|(_, tilt)| tilt).unwrap_or_default();
            let by_filled = TiltError {
                origin_m: [0.0, 0.0, self.base_by_unseen_m(&closed.surface)],
                ..TiltError::default()
            };
            let own = posture.tilt_error.and(by_filled);
            own.and(self.rolled()).and(tilted)
        });
        let whole = closed.surface;
        let mut surface = whole.clone();
        surface.faces.truncate(closed.skin_faces);
        surface.drop_unused_vertices();
        self.take_out_slivers(&mut surface);
        let area_share = self.measure_skin(&surface);
        let topology = Topology::of(&surface);
        let survey = Survey::of(&surface, &topology, &FacetNumbers::default());
        let mut openings = survey.examination.loops.clone();
        openings.sort_by(|a, b| b.length_m.total_cmp(&a.length_m));
        let mirror = self.plane_now();
        // How far an opening lies off the plane that a half was mirrored in: rolled, the half
        // carries its side of the rim up or down.
        let rolls_m = |opening: &Loop| {
            let corners = opening.vertices.iter();
            let off_m = corners.map(|v| {
                mirror.map_or(0.0, |(normal, offset_m)| {
                    (normal.dot(&surface.vertices[*v as usize]) - offset_m).abs()
                })
            });
            self.roll_error * off_m.fold(0.0, f64::max)
        };
        let rolls_m: Vec<f64> = openings.iter().map(rolls_m).collect();
        // A rim that no curve was fitted to is as rough as the skin that it ends.
        let rough_m = (self.noise_m * self.moved.scale).max(averaged(&surface).1);
        self.refuse_ragged(rough_m, rolls_m.iter().copied().fold(0.0, f64::max))?;
        let mut doubts = self.doubts;
        let overlaps = closed
            .examination
            .audit
            .as_ref()
            .is_some_and(ColumnAudit::is_doubled);
        if overlaps && let Some(doubt) = doubts.iter_mut().find(|d| d.kind == DoubtKind::Overlap) {
            let cure = if rebuild::may_help(&whole) {
                "; mend with `rebuild` to make one skin of them"
            } else {
                "; it is one piece that does so, which `rebuild` does not cure: look at that place, and cut off or take away in a mesh editor what stands there"
            };
            doubt.text = doubt.text.clone().then(cure);
        }
        let scale = self.moved.scale;
        // Waves of the scan longer than a rim's fit do not show about its curve, but
        // between port and starboard, unless one was made of the other.
        // Of a half nothing tells of them: they are taken to be as strong as what shows, but
        // both no stronger than its roughness, which holds what its open edges tell.
        let is_half = self.known_plane.is_some();
        let by_posture = |noise_m: fn(&Posture) -> f64| posture.as_ref().map(noise_m);
        let rough_half_m = by_posture(|p| p.noise_m).filter(|_| is_half);
        let most_m = rough_half_m.map_or(f64::INFINITY, rim::error_of_m);
        let unlike_m = by_posture(|p| p.plane.noise_m()).filter(|_| !is_half);
        let unlike_m = unlike_m.map_or(0.0, rim::error_of_m);
        let with_unseen_m = |error_m: f64| {
            if is_half {
                (error_m * std::f64::consts::SQRT_2).min(error_m.max(most_m))
            } else {
                error_m.max(unlike_m)
            }
        };
        let as_rough = (rough_m > SMOOTH_M).then(|| rim::error_of_m(rough_m));
        let ring = |opening: &Loop| -> Vec<Vec3> {
            let corners = opening.vertices.iter();
            corners.map(|v| surface.vertices[*v as usize]).collect()
        };
        let fitted = |opening: &Loop| {
            let near = RIM_NEAR_SHARE * opening.length_m;
            self.rims
                .iter()
                .find(|(middle, _)| (self.moved.point(middle) - opening.centre).norm() < near)
                .map(|(_, error_m)| with_unseen_m(*error_m) * scale)
        };
        let left = rim::left_as_they_are(&surface);
        let left_as_it_is = |opening: &Loop| {
            let near_m = RIM_NEAR_SHARE * opening.length_m;
            let mut left = left.iter();
            left.find(|left| (left.middle - opening.centre).norm() < near_m)
        };
        let rim_errors_m: Vec<Option<f64>> = openings
            .iter()
            .zip(rolls_m)
            .map(|(opening, rolls_m)| {
                let fitted = fitted(opening);
                // The outer skin is cut along its rims, so that one without a curve is ragged.
                let ragged_m = (self.skin_thickness_m.is_some() && fitted.is_none())
                    .then(|| rim::ragged_m(&ring(opening)));
                let told = ragged_m.and_then(|off_m| rim::doubt_ragged(opening.length_m, off_m));
                doubts.extend(told);
                let left = left_as_it_is(opening).filter(|_| fitted.is_none());
                let hangs_m = left.and_then(|left| left.hangs_m);
                let as_left = left.filter(|_| as_rough.or(hangs_m).is_some());
                let as_left = [as_left.map(|left| left.error_m), as_rough];
                let as_left = as_left.into_iter().flatten().reduce(f64::max);
                doubts.extend(hangs_m.map(|deep_m| rim::doubt_hanging(opening.length_m, deep_m)));
                let parts = [
                    fitted.or(ragged_m).or(as_left),
                    sinks_m,
                    (rolls_m > 0.0).then_some(rolls_m),
                ];
                parts.into_iter().flatten().reduce(f64::hypot)
            })
            .collect();
        Ok(Mended {
            skin_thickness_m: self.skin_thickness_m.map(|thick| thick * scale),
            tilt_error,
            area_share,
            rim_errors_m,
            not_seen,
            after: MeshSummary::of(&surface, &survey.examination, Some(volume_m3)),
            surface,
            openings,
            steps: self.steps,
            before,
            moved: self.near.then(&self.moved),
            posture,
            doubts,
        })
    }
}

/// The doubt of a hull whose sides differ, so that its centre plane may be rolled.
fn doubt_lopsided(posture: &Posture) -> Option<Doubt> {
    let heel_deg = posture.tilt_error.heel_deg;
    (posture.uneven_m > 0.0 && heel_deg > LEVEL_DEG).then(|| {
        let text = sentence![
            "port and starboard differ by ",
            mm(posture.uneven_m, 1),
            format!(" over long stretches, so no plane halves the hull and it is level from side to side only to ± {heel_deg:.1}°: if that matters, set it level by a spirit level across its rim and turn it so by `turn`")
        ];
        Doubt::new(DoubtKind::Place, text)
    })
}

/// What a hull was levelled by, where that was its rim.
fn by_rim_in_words(level: &Level, posture: &Posture) -> String {
    let (Level::RimHeights { bow_m, stern_m }, Some([round_m, apart_m])) = (level, posture.by_rim)
    else {
        return String::new();
    };
    let guessed = if posture.bow == Confidence::Guess {
        ", which is a guess: if it is the stern, give `swap_ends`, and each height goes to the other end"
    } else {
        ""
    };
    format!(
        "; level by the heights of the two ends of the opening {round_m:.2} m round, {apart_m:.2} m apart: {bow_m:.3} m taken for the end toward the bow{guessed}, {stern_m:.3} m for the other"
    )
}

impl Closed {
    pub(super) fn of(prepared: Prepared) -> Self {
        let mut surface = prepared.surface;
        // Caps of openings come first among the caps, those of mended holes
        // last: these become skin.
        let open: Vec<_> = prepared.loops.iter().filter(|l| !l.mended).collect();
        let begin = prepared
            .loops
            .first()
            .map_or(surface.faces.len(), |l| l.cap.start);
        let end = open.last().map_or(begin, |l| l.cap.end);
        surface.faces[begin..].rotate_left(end - begin);
        Self {
            skin_faces: surface.faces.len() - (end - begin),
            surface,
            examination: prepared.examination,
        }
    }
}
