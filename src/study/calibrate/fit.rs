//! Weighted least squares: the mass and centre that the readings fit best, and how far
//! off they may be.
//!
//! By hand: four unknowns, with what the readings leave open kept at the file's;
//! general least squares has no word for that.
use nalgebra::{DMatrix, DVector, Matrix4};

use super::measured::Measured;
use super::model::{Model, Reading, Whole};
use super::{CalibrateError, Measurement};
use crate::quantity::{Quantity, SPREAD_IN_DEVIATIONS};

/// Steps after which the fit is given up: Gauss–Newton takes a handful, a craft that was
/// heeled to near where it goes over some dozens.
const MOST_STEPS: usize = 200;
/// A step this share of mass and metre ends the fit.
const DONE: f64 = 1e-12;
/// A step of this size counts as the end where none gets smaller: rests are found to
/// some 1e-10 of the craft's size.
const NEAR_ENOUGH: f64 = 1e-7;
/// A step that leaves the fit worse by no more than this share is taken: rests are
/// found to some 1e-10 of the craft's size, a millionth of an angle's ±.
const NO_WORSE: f64 = 1e-5;
/// A step that makes the fit worse is damped by shares of the normal matrix' diagonal, each
/// ten times the last (Levenberg and Marquardt: Marquardt, J. SIAM 11 (1963) 431–441, from
/// memory).
const LEAST_DAMPING: f64 = 1e-3;
const DAMPED_BY: f64 = 10.0;
const MOST_DAMPING: f64 = 1e9;

fn solved(normal: &DMatrix<f64>, pull: &DVector<f64>) -> Result<DVector<f64>, CalibrateError> {
    let cholesky = normal.clone().cholesky();
    Ok(cholesky.ok_or(CalibrateError::Undetermined)?.solve(pull))
}

/// What is fitted and how.
pub(super) struct Fit<'a> {
    pub(super) model: Model<'a>,
    /// Which of [`Whole`] are sought; the others stay.
    pub(super) free: [bool; 4],
    /// Standard deviations of those that stay.
    pub(super) held: Whole,
}

/// How well readings agree with each other.
pub(super) struct Agreement {
    /// What the covariance is to be multiplied by: 1 where they agree, else their misfit
    /// for each reading to spare.
    pub(super) widens: f64,
    /// The readings off by most of what they may be, where they do not agree; several
    /// where none is worse than the others.
    pub(super) misfits: Vec<Measurement>,
    /// Readings more than what is sought.
    pub(super) to_spare: usize,
}

/// Readings whose misfit is over its mean by this many of its standard deviations do not
/// agree: χ² with n readings to spare has the mean n and the variance 2 n (any textbook of
/// statistics). Of good readings with three to spare some 2 in 100 do so.
const MISFIT_DEVIATIONS: f64 = 3.0;
/// A reading off by this share of the worst is as bad as it.
const AS_BAD: f64 = 0.95;

/// The readings at one mass and centre, ready to be weighed.
struct Weighted {
    readings: Vec<Reading>,
    /// Inverse of the readings' covariance.
    weight: DMatrix<f64>,
}

impl Weighted {
    /// Squares of what the readings are off, by their weight.
    fn misfit(&self) -> f64 {
        let off = self.off();
        (off.transpose() * &self.weight * off)[(0, 0)]
    }

    fn off(&self) -> DVector<f64> {
        DVector::from_iterator(
            self.readings.len(),
            self.readings.iter().map(|r| r.read.value - r.model),
        )
    }

    /// A column of slopes.
    fn slopes(&self, parameter: usize) -> DVector<f64> {
        let slopes = self.readings.iter().map(|r| r.slope[parameter]);
        DVector::from_iterator(self.readings.len(), slopes)
    }
}

impl Fit<'_> {
    fn free_ones(&self) -> Vec<usize> {
        (0..4).filter(|&parameter| self.free[parameter]).collect()
    }

    /// A step of the free ones as one of all.
    fn along(&self, step: &DVector<f64>) -> Whole {
        let mut all = Whole::zeros();
        for (parameter, step) in self.free_ones().into_iter().zip(step.iter()) {
            all[parameter] = *step;
        }
        all
    }

    fn slopes(&self, at: &Weighted) -> DMatrix<f64> {
        let columns: Vec<DVector<f64>> = self.free_ones().iter().map(|&p| at.slopes(p)).collect();
        DMatrix::from_columns(&columns)
    }

    /// The best fit, from a first guess.
    pub(super) fn run(&self, guess: Whole, measured: &Measured) -> Result<Whole, CalibrateError> {
        let weight = self.weight(&guess, measured)?;
        let look = |whole: &Whole| -> Result<Weighted, CalibrateError> {
            Ok(Weighted {
                readings: self.model.readings(whole, measured)?,
                weight: weight.clone(),
            })
        };
        let mut whole = guess;
        let mut here = look(&whole)?;
        let mut damping = 0.0;
        let mut last = f64::INFINITY;
        for _ in 0..MOST_STEPS {
            let slopes = self.slopes(&here);
            let weighted = slopes.transpose() * &here.weight;
            let (normal, pull) = (&weighted * &slopes, weighted * here.off());
            let full = solved(&normal, &pull)?;
            let wanted = self.along(&full);
            last = (wanted[0].abs() / whole[0]).max(wanted.fixed_rows::<3>(1).norm());
            let mut step = full;
            let there = loop {
                if damping > 0.0 {
                    let held = DMatrix::from_diagonal(&(normal.diagonal() * damping));
                    step = solved(&(&normal + held), &pull)?;
                }
                let moved = whole + self.along(&step);
                let found = (moved[0] > 0.0).then(|| look(&moved).ok()).flatten();
                match found {
                    Some(at) if at.misfit() <= here.misfit() * (1.0 + NO_WORSE) + NO_WORSE => {
                        break Some((moved, at));
                    }
                    _ if damping >= MOST_DAMPING => break None,
                    _ => damping = (damping * DAMPED_BY).max(LEAST_DAMPING),
                }
            };
            let Some((moved, at)) = there else {
                break;
            };
            damping = Some(damping / DAMPED_BY)
                .filter(|damping| *damping >= LEAST_DAMPING)
                .unwrap_or(0.0);
            (whole, here) = (moved, at);
            if last <= DONE {
                break;
            }
        }
        if last <= NEAR_ENOUGH {
            Ok(whole)
        } else {
            Err(CalibrateError::NoFit)
        }
    }

    /// Covariance of mass and centre at a fit: the readings' own, and what the held
    /// ones may be off.
    pub(super) fn covariance(
        &self,
        whole: &Whole,
        measured: &Measured,
    ) -> Result<Matrix4<f64>, CalibrateError> {
        let at = Weighted {
            readings: self.model.readings(whole, measured)?,
            weight: self.weight(whole, measured)?,
        };
        let free = self.free_ones();
        let slopes = self.slopes(&at);
        let weighted = slopes.transpose() * &at.weight;
        let own = (&weighted * &slopes)
            .cholesky()
            .ok_or(CalibrateError::Undetermined)?
            .inverse();
        let mut covariance = Matrix4::zeros();
        for (i, &row) in free.iter().enumerate() {
            for (j, &column) in free.iter().enumerate() {
                covariance[(row, column)] = own[(i, j)];
            }
        }
        for held in (0..4).filter(|&held| !self.free[held]) {
            // What the others go along with a held one that is off.
            let along = -(&own * (&weighted * at.slopes(held)));
            let mut way = Whole::zeros();
            way[held] = 1.0;
            for (&parameter, along) in free.iter().zip(along.iter()) {
                way[parameter] = *along;
            }
            covariance += way * way.transpose() * self.held[held].powi(2);
        }
        Ok(covariance)
    }

    /// Whether the readings agree with each other at a fit: their misfit against its
    /// distribution, and each residual against its own deviation, which is the reading's
    /// less what the fit followed it.
    pub(super) fn agreement(
        &self,
        whole: &Whole,
        measured: &Measured,
    ) -> Result<Agreement, CalibrateError> {
        let at = Weighted {
            readings: self.model.readings(whole, measured)?,
            weight: self.weight(whole, measured)?,
        };
        let to_spare = at.readings.len().saturating_sub(self.free_ones().len());
        let agrees = Agreement {
            widens: 1.0,
            misfits: Vec::new(),
            to_spare,
        };
        let spare = to_spare as f64;
        let misfit = at.misfit();
        if to_spare == 0 || misfit <= spare + MISFIT_DEVIATIONS * (2.0 * spare).sqrt() {
            return Ok(agrees);
        }
        let slopes = self.slopes(&at);
        let (own, fitted) = (at.weight.clone(), slopes.transpose() * &at.weight * &slopes);
        let covariance = own.cholesky().ok_or(CalibrateError::Undetermined)?;
        let fitted = fitted.cholesky().ok_or(CalibrateError::Undetermined)?;
        let left = covariance.inverse() - &slopes * fitted.inverse() * slopes.transpose();
        let off = at.off();
        let normalised: Vec<f64> = (0..at.readings.len())
            .map(|i| {
                let deviation = left[(i, i)].max(0.0).sqrt();
                let own = at.readings[i].read.spread / SPREAD_IN_DEVIATIONS;
                // A reading that the fit follows wholly has no residual to speak of.
                if deviation > 1e-6 * own {
                    off[i].abs() / deviation
                } else {
                    0.0
                }
            })
            .collect();
        let worst = normalised.iter().copied().fold(0.0, f64::max);
        let misfits = at.readings.iter().zip(&normalised);
        let misfits = misfits.filter(|(_, off)| **off >= AS_BAD * worst);
        Ok(Agreement {
            widens: misfit / spare,
            misfits: misfits.map(|(reading, _)| reading.what).collect(),
            to_spare,
        })
    }

    /// How well the fit agrees with the readings.
    pub(super) fn readings(
        &self,
        whole: &Whole,
        measured: &Measured,
    ) -> Result<Vec<Reading>, CalibrateError> {
        Ok(self.model.readings(whole, measured)?)
    }

    /// The readings' inverse covariance: each its own ±, and together what places,
    /// weights and angles they hang on may be off.
    fn weight(&self, whole: &Whole, measured: &Measured) -> Result<DMatrix<f64>, CalibrateError> {
        let readings = self.model.readings(whole, measured)?;
        let own = readings
            .iter()
            .map(|r| (r.read.spread / SPREAD_IN_DEVIATIONS).powi(2));
        let mut covariance = DMatrix::from_diagonal(&DVector::from_iterator(readings.len(), own));
        for spread_by in inputs_off(measured) {
            let there = self.model.readings(whole, &spread_by)?;
            let off = there.iter().zip(&readings).map(|(a, b)| a.model - b.model);
            let off = DVector::from_iterator(readings.len(), off);
            covariance += &off * off.transpose();
        }
        let cholesky = covariance.cholesky().ok_or(CalibrateError::Undetermined)?;
        Ok(cholesky.inverse())
    }
}

/// The same measurements with one input after the other a standard deviation off. Moves
/// of one mass and ± are of one weight.
fn inputs_off(measured: &Measured) -> Vec<Measured> {
    let mut all = Vec::new();
    let mut with = |change: &dyn Fn(&mut Measured)| {
        let mut off = measured.clone();
        change(&mut off);
        all.push(off);
    };
    let more = |q: &mut Quantity| q.value += q.spread / SPREAD_IN_DEVIATIONS;
    let is_off = |q: &Quantity| q.spread > 0.0;
    for (number, mark) in measured.marks.iter().enumerate() {
        for axis in (0..3).filter(|&axis| is_off(&mark.at[axis])) {
            with(&|m| more(&mut m.marks[number].at[axis]));
        }
    }
    if let Some(scales) = &measured.two_scales {
        let change = |change: &dyn Fn(&mut super::TwoScales)| {
            let mut off = measured.clone();
            off.two_scales.iter_mut().for_each(change);
            off
        };
        let mut found = Vec::new();
        if is_off(&scales.aft.x) {
            found.push(change(&|s| more(&mut s.aft.x)));
        }
        if is_off(&scales.fore.x) {
            found.push(change(&|s| more(&mut s.fore.x)));
        }
        if is_off(&scales.stands_at_z) {
            found.push(change(&|s| more(&mut s.stands_at_z)));
        }
        if scales.tipped.is_some_and(|tipped| is_off(&tipped.angle)) {
            found.push(change(&|s| {
                s.tipped.iter_mut().for_each(|t| more(&mut t.angle))
            }));
        }
        for off in found {
            with(&|m| m.clone_from(&off));
        }
    }
    let mut weights: Vec<Quantity> = Vec::new();
    for (number, one) in measured.moves.iter().enumerate() {
        if is_off(&one.mass) && !weights.contains(&one.mass) {
            weights.push(one.mass);
            with(&|m| {
                let same = m.moves.iter_mut().filter(|other| other.mass == one.mass);
                same.for_each(|other| more(&mut other.mass));
            });
        }
        if is_off(&one.moved) {
            with(&|m| more(&mut m.moves[number].moved));
        }
    }
    for (number, push) in measured.pushes.iter().enumerate() {
        for axis in (0..3).filter(|&axis| is_off(&push.at[axis])) {
            with(&|m| more(&mut m.pushes[number].at[axis]));
        }
        if is_off(&push.force) {
            with(&|m| more(&mut m.pushes[number].force));
        }
    }
    all
}
