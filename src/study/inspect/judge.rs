//! The grade of a mesh, its reasons, and what to do next: only what can be done.
use super::{Because, Grade, InspectResult, LooksLike, Next};
use crate::mesh::{Confidence, DoubtKind};
use crate::numerics::Vec3;
use crate::quantity::Sentence;

/// A hull whose sides agree within this share of its breadth is symmetric, and
/// one whose sides differ by more than this is not.
const SYMMETRIC_SHARE: f64 = 0.005;
const LOPSIDED_SHARE: f64 = 0.015;
/// An angle off the boat frame that is worth turning, deg.
const OFF_LEVEL_DEG: f64 = 1.0;
/// A hull whose own axes lie this near to the mesh's (cosine) and whose aftmost
/// and lowest points are this near to zero, as a share of its length, was placed
/// on purpose: it is not to be turned again.
const ON_AXIS: f64 = 0.99;
const AT_ORIGIN_SHARE: f64 = 0.005;
/// Pieces in each other are worth a rebuild over this share of the volume.
const REBUILD_SHARE: f64 = 5e-4;

/// Sets the grade, its reasons and what to do next.
pub(super) fn judge(result: &mut InspectResult) {
    let mut verdict = Verdict {
        grade: Grade::Good,
        because: Vec::new(),
        next: Vec::new(),
        steps: Vec::new(),
    };
    judge_closing(result, &mut verdict);
    judge_what_is_there(result, &mut verdict);
    judge_lie(result, &mut verdict);
    if verdict.because.is_empty() {
        verdict.because.push(Because::NothingWrong);
    }
    if !verdict.steps.is_empty() {
        verdict.next.push(Next::Mend(verdict.steps.clone()));
    }
    if verdict.grade <= Grade::UsableWithCare {
        verdict.next.push(Next::Init);
    }
    result.grade = verdict.grade;
    result.because = verdict.because;
    result.next = verdict.next;
}

struct Verdict {
    grade: Grade,
    because: Vec<Because>,
    next: Vec<Next>,
    /// Options of `awash mend`.
    steps: Vec<&'static str>,
}

impl Verdict {
    fn find(&mut self, at_least: Grade, because: Because) {
        self.grade = self.grade.max(at_least);
        self.because.push(because);
    }

    fn step(&mut self, option: &'static str) {
        if !self.steps.contains(&option) {
            self.steps.push(option);
        }
    }
}

fn judge_closing(result: &InspectResult, verdict: &mut Verdict) {
    if result.volume_m3.is_none() {
        verdict.find(Grade::NotUsable, Because::NotClosed);
        verdict.next.push(Next::MendInAnEditor);
    }
    let doubted = |kind| result.mesh_doubts.iter().find(|d| d.kind == kind);
    // Two sides of a skin meet in many places: the outer one alone is asked.
    if result.skin_thickness_m.is_none() {
        if let Some(doubt) = doubted(DoubtKind::Overlap) {
            judge_overlap(result, &doubt.text, verdict);
        }
        if let Some(doubt) = doubted(DoubtKind::Nested) {
            verdict.find(Grade::MendFirst, Because::Doubt(doubt.text.clone()));
        }
    }
    let count = |looks| {
        result
            .loops
            .iter()
            .filter(|l| l.looks_like == looks)
            .count()
    };
    let (holes, unclear) = (count(LooksLike::Defect), count(LooksLike::Unclear));
    if holes + unclear > 0 {
        verdict.find(
            Grade::UsableWithCare,
            Because::Holes {
                defects: holes,
                unclear,
            },
        );
    }
    if unclear > 0 {
        verdict.next.push(Next::LookAtUnclearHoles);
    }
    let count: usize = result.defects.iter().map(|class| class.count).sum();
    if count > 0 {
        verdict.find(Grade::UsableWithCare, Because::OtherDefects(count));
    }
}

/// A rebuild is proposed where pieces that are sound each pass through each other; what one
/// piece does to itself, or noise at an edge, it does not cure.
fn judge_overlap(result: &InspectResult, text: &Sentence, verdict: &mut Verdict) {
    let doubt = Because::Doubt(text.clone());
    let Some(volume) = result.volume_m3 else {
        verdict.find(Grade::MendFirst, doubt);
        return;
    };
    if result.overlap_m3 < REBUILD_SHARE * volume {
        verdict.find(Grade::UsableWithCare, doubt);
        return;
    }
    verdict.find(Grade::MendFirst, doubt);
    if result.rebuild_may_help {
        verdict.step("--rebuild");
        verdict.next.push(Next::RebuildTakesTime);
    } else {
        verdict.next.push(Next::CutAway);
    }
}

fn judge_what_is_there(result: &InspectResult, verdict: &mut Verdict) {
    if let Some(share) = result.floor_share {
        verdict.find(Grade::MendFirst, Because::Floor { share });
        verdict.step("--drop-floor");
        if result.skin_thickness_m.is_none() {
            verdict.step("--largest-only");
        }
    }
    if let Some(under_m) = result.stand_under_m {
        verdict.find(Grade::UsableWithCare, Because::NarrowUnderneath { under_m });
        verdict.next.push(Next::CropTrestle { under_m });
        verdict.step("--upright");
    }
    if let Some(thick) = result.skin_thickness_m {
        verdict.find(Grade::MendFirst, Because::BothSides { apart_m: thick });
        verdict.step("--outer-skin");
        if result.posture.is_some() {
            verdict.step("--upright");
        }
    }
    if let Some(rough) = result.rough_edges_m {
        verdict.find(
            Grade::UsableWithCare,
            Because::RoughEdges {
                scatter_m: rough,
                // The lowest of some hundred corners of normal noise.
                too_low_m: 2.5 * rough,
            },
        );
        verdict.step("--smooth-rims");
    }
    if let Some(under_m) = result.hanging_lip_m {
        verdict.find(Grade::UsableWithCare, Because::LipHangs { under_m });
        verdict.step("--smooth-rims");
    }
    if let Some(guess) = &result.unit_guess
        && guess.confidence == Confidence::Guess
    {
        verdict.find(
            Grade::UsableWithCare,
            Because::UnitGuessed {
                unit: guess.unit.to_string(),
                length_m: guess.length_m,
            },
        );
        verdict.next.push(Next::MeasureLength);
    }
}

fn judge_lie(result: &InspectResult, verdict: &mut Verdict) {
    let Some(posture) = &result.posture else {
        let why = result.no_posture_because.clone().unwrap_or_default();
        verdict.find(Grade::MendFirst, Because::HowItLiesNotTold(why));
        if result.flat_edges.iter().any(|edge| edge.is_cut) {
            verdict.step("--mirror cut");
            verdict.step("--upright");
        } else if !result.flat_edges.is_empty() {
            verdict.next.push(Next::MirrorByNumber);
        }
        if result.floor_share.is_none() {
            verdict.next.push(Next::UseAsItIs {
                or_mirror: !result.flat_edges.is_empty(),
            });
        }
        return;
    };
    let breadth = result.drawing.bounds.1.y - result.drawing.bounds.0.y;
    let off = posture.plane.nine_tenths_m;
    if off > LOPSIDED_SHARE * breadth {
        verdict.find(Grade::MendFirst, Because::SidesDiffer { by_m: off });
    } else if off > SYMMETRIC_SHARE * breadth {
        verdict.find(
            Grade::UsableWithCare,
            Because::SidesDifferALittle { by_m: off },
        );
    }
    let [normal, middle] = [
        posture.plane.normal,
        Vec3::from(result.least_m) + Vec3::from(result.size_m) / 2.0,
    ];
    let off_m = (posture.plane.offset_m - normal.x * middle.x - normal.z * middle.z) / normal.y;
    if normal.y.abs() > ON_AXIS && off_m.abs() > SYMMETRIC_SHARE / 2.0 * breadth {
        verdict.find(
            Grade::UsableWithCare,
            Because::OffTheMiddle { to_port_m: off_m },
        );
    }
    if posture.off_by_deg > OFF_LEVEL_DEG && !was_placed(result) {
        verdict.find(
            Grade::MendFirst,
            Because::OffTheFrame {
                by_deg: posture.off_by_deg,
            },
        );
        verdict.step("--upright");
    }
    if verdict.steps.contains(&"--upright") {
        let guesses = [(posture.up, Next::CheckUp), (posture.bow, Next::CheckBow)];
        let guesses = guesses.into_iter();
        let guesses = guesses.filter(|(sure, _)| *sure == Confidence::Guess);
        verdict.next.extend(guesses.map(|(_, next)| next));
    }
}

/// Whether the hull stands along the axes with its origin aftmost, on the centre
/// plane, lowest, as mending leaves it: then someone said which way it lies.
fn was_placed(result: &InspectResult) -> bool {
    let Some(posture) = &result.posture else {
        return false;
    };
    let turn = posture.turn.matrix();
    let near = AT_ORIGIN_SHARE * result.size_m[0];
    let [x, _, z] = result.least_m;
    (0..3).all(|k| turn[(k, k)].abs() > ON_AXIS) && x.abs() < near && z.abs() < near
}
