//! What a click in the picture does, and the handles that things are pulled by.
use super::edits::rounded;
use super::grip::Ray;
use super::made::{Is, Kind, Made};
use super::stowed::Cargo;
use super::subject::Subject;
use crate::boat::axes_of;
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// What a click does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tool {
    /// Says what is there, and chooses it.
    Look,
    /// Measures from one place to the next.
    Measure,
    /// Makes something.
    Make(Kind),
    /// Puts something aboard.
    Stow(Cargo),
}

/// What was chosen by a click.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Chosen {
    /// An opening of the file.
    Opening(String),
    /// A thing aboard, by its number.
    Item(usize),
    /// A part of the file.
    Part(String),
    /// Something made here.
    Made(String),
}

/// What a handle takes hold of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Grip {
    /// A thing aboard.
    Item(usize),
    /// The middle of what is drawn on the skin.
    Middle,
    /// The edge of a circle.
    Edge,
    /// A corner of a rectangle.
    Corner,
    /// A point of an edge.
    Point(usize),
    /// A figure along an axis of the boat, counted from a place.
    Along {
        /// Its number.
        figure: usize,
        /// 0 along the boat, 2 up.
        axis: usize,
        /// What it counts from; nought for a station or a height.
        from_m: f64,
    },
}

/// A place in the picture that something is pulled by.
#[derive(Debug, Clone, PartialEq)]
pub struct Handle {
    /// Where, boat frame, m.
    pub at_m: Vec3,
    /// What it takes hold of.
    pub grip: Grip,
}

/// Snapping reaches so far, as a share of the hull's length. Ours.
const SNAP_SHARE: f64 = 0.005;
/// Sizes that are pulled go in steps of so much, m.
const SIZE_STEP_M: f64 = 0.005;
/// Greatest size that can be pulled, as a share of the hull's length.
const MOST_SIZE_SHARE: f64 = 0.5;
/// Least size that can be pulled, m.
const LEAST_SIZE_M: f64 = 0.005;
/// Slope of a ray to a plane or square to a line under which it points nowhere on it, sine.
const TOO_FLAT: f64 = 0.05;

impl Subject {
    /// The hull's length, m.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        self.boat.frame.stem_x_m - self.boat.frame.stern_x_m
    }

    /// Stations and heights that places snap to are so far apart, m.
    fn step_m(&self) -> f64 {
        if self.length_m() > 1.0 { 0.05 } else { 0.01 }
    }

    /// A place on the skin drawn to the middle, to the next station and to the next height
    /// above the water, where these are near; it stays on the skin.
    #[must_use]
    pub fn snapped(&self, at_m: &Vec3, out: &Vec3, water: &WaterPlane) -> Vec3 {
        let (near_m, step_m) = (SNAP_SHARE * self.length_m(), self.step_m());
        let to_step = |value: f64| {
            let step = (value / step_m).round() * step_m;
            if (step - value).abs() < near_m {
                step
            } else {
                value
            }
        };
        let mut at = *at_m;
        at.x = to_step(at.x);
        let middle_y_m = self.boat.frame.middle_y_m;
        if (at.y - middle_y_m).abs() < near_m {
            at.y = middle_y_m;
        }
        let height_m = water.height_m(&at);
        at += water.up * (to_step(height_m) - height_m);
        self.back_on_skin(&at, out).unwrap_or(*at_m)
    }

    /// The place on the skin straight under or over one near it.
    #[must_use]
    pub fn back_on_skin(&self, at_m: &Vec3, out: &Vec3) -> Option<Vec3> {
        let far_m = 0.05 * self.length_m();
        let ray = Ray {
            from_m: at_m + out * far_m,
            along: -out,
        };
        let picked = self.pick(&ray)?;
        let off_m = (picked.at_m - at_m).norm();
        (off_m < far_m).then_some(picked.at_m)
    }

    /// Moves what is drawn on the skin up or down along it until its lowest point, or its
    /// middle where it has no rim, is so high above the water.
    pub fn raise(&self, made: &mut Made, sill_m: f64, to_m: f64, water: &WaterPlane) {
        let Some(middle) = made.points_m.first().copied() else {
            return;
        };
        let up = water.up;
        let along = up - made.out * up.dot(&made.out);
        // On a level deck nothing is gained by moving.
        let slope = along.norm();
        if slope < TOO_FLAT {
            return;
        }
        let way = along / slope * ((to_m - sill_m) / slope);
        if let Some(there) = self.back_on_skin(&(middle + way), &made.out) {
            made.points_m[0] = rounded(&there);
        }
    }
}

impl Made {
    /// The axes of a pattern on the skin about its middle, as the boat file has them.
    #[must_use]
    pub fn axes(&self) -> [Vec3; 2] {
        axes_of(&self.out)
    }

    /// What it is pulled by.
    #[must_use]
    pub fn handles(&self, subject: &Subject) -> Vec<Handle> {
        let Some(&first) = self.points_m.first() else {
            return Vec::new();
        };
        if self.kind == Kind::Line {
            let points = self.points_m.iter().enumerate();
            return points
                .map(|(number, at_m)| Handle {
                    at_m: *at_m,
                    grip: Grip::Point(number),
                })
                .collect();
        }
        let [u, v] = self.axes();
        let mut handles = Vec::new();
        if self.kind.is_on_skin() {
            handles.push(Handle {
                at_m: first,
                grip: Grip::Middle,
            });
            handles.push(match self.kind {
                Kind::Round => Handle {
                    at_m: first + u * (self.figures[0] / 2.0),
                    grip: Grip::Edge,
                },
                _ => Handle {
                    at_m: first + u * (self.figures[0] / 2.0) + v * (self.figures[1] / 2.0),
                    grip: Grip::Corner,
                },
            });
            return handles;
        }
        let figures = self.kind.figures().iter().zip(&self.figures);
        for (number, (figure, value)) in figures.enumerate() {
            let (axis, from, at) = match figure.is {
                Is::Station => (0, 0.0, Vec3::new(*value, first.y, first.z)),
                Is::Height => (2, 0.0, Vec3::new(first.x, first.y, *value)),
                Is::Size if self.kind == Kind::Coaming => {
                    let rim = subject.boat.openings.iter().find(|o| o.name == self.on);
                    let Some(top) = rim.map(|opening| opening.sill_m(&Vec3::z())) else {
                        continue;
                    };
                    // Its rim is the wall's top once that is made.
                    (2, top.z - value, top)
                }
                Is::Size | Is::Extra | Is::Angle => continue,
            };
            handles.push(Handle {
                at_m: at,
                grip: Grip::Along {
                    figure: number,
                    axis,
                    from_m: from,
                },
            });
        }
        handles
    }

    /// Pulls it by a handle to where a ray points.
    pub fn pull(&mut self, grip: Grip, ray: &Ray, subject: &Subject, water: &WaterPlane) {
        let on_skin = || {
            let picked = subject.pick(ray)?;
            let at_m = subject.snapped(&picked.at_m, &picked.out, water);
            Some((rounded(&at_m), picked.out))
        };
        let most_m = MOST_SIZE_SHARE * subject.length_m();
        let size = |value: f64| {
            let steps = (value.min(most_m) / SIZE_STEP_M).round() * SIZE_STEP_M;
            ((steps * 1e4).round() / 1e4).max(LEAST_SIZE_M)
        };
        match grip {
            Grip::Middle => {
                if let Some((at_m, out)) = on_skin() {
                    self.points_m = vec![at_m];
                    self.out = out;
                }
            }
            Grip::Point(number) => {
                if let (Some((at_m, _)), Some(point)) = (on_skin(), self.points_m.get_mut(number)) {
                    *point = at_m;
                }
            }
            Grip::Edge | Grip::Corner => {
                let Some(off) = self.off_middle(ray) else {
                    return;
                };
                let [u, v] = self.axes();
                if grip == Grip::Edge {
                    self.figures[0] = size(2.0 * off.norm());
                } else {
                    self.figures[0] = size(2.0 * off.dot(&u).abs());
                    self.figures[1] = size(2.0 * off.dot(&v).abs());
                    self.keep_corner();
                }
            }
            Grip::Along {
                figure,
                axis,
                from_m,
            } => {
                let through = self.points_m.first().copied().unwrap_or_default();
                let step_m = subject.step_m() / 5.0;
                if let (Some(along), Some(value)) = (
                    nearest_on_axis(ray, &through, axis),
                    self.figures.get_mut(figure),
                ) {
                    let steps = ((along - from_m) / step_m).round() * step_m;
                    *value = (steps * 1e4).round() / 1e4 + 0.0;
                    if self.kind.figures()[figure].is == Is::Size {
                        *value = value.max(LEAST_SIZE_M);
                    }
                }
            }
            Grip::Item(_) => {}
        }
    }

    /// A corner's radius is at most half of the smaller side.
    pub fn keep_corner(&mut self) {
        if matches!(self.kind, Kind::Square | Kind::Pocket) {
            let most = self.figures[0].min(self.figures[1]) / 2.0;
            self.figures[2] = self.figures[2].min(most);
        }
    }

    /// From its middle to where a ray meets the plane that touches the skin there.
    fn off_middle(&self, ray: &Ray) -> Option<Vec3> {
        let middle = self.points_m.first()?;
        let slope = ray.along.dot(&self.out);
        (slope.abs() > TOO_FLAT).then(|| {
            let far_m = (middle - ray.from_m).dot(&self.out) / slope;
            ray.from_m + ray.along * far_m - middle
        })
    }
}

/// The coordinate along an axis through a place at which a ray comes nearest to it.
fn nearest_on_axis(ray: &Ray, through: &Vec3, axis: usize) -> Option<f64> {
    let direction = Vec3::ith(axis, 1.0);
    let across = direction.cross(&ray.along);
    let square = across.norm_squared();
    if square < TOO_FLAT * TOO_FLAT {
        return None;
    }
    let away = ray.from_m - through;
    let along = away.cross(&ray.along).dot(&across) / square;
    Some(through[axis] + along)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed form: a ray square to the axis, straight over it at 1.7.
    #[test]
    fn a_ray_points_at_the_place_on_an_axis_that_it_passes_nearest() {
        let ray = Ray {
            from_m: Vec3::new(1.7, -4.0, 2.0),
            along: Vec3::new(0.0, 2.0, -1.0).normalize(),
        };
        let through = Vec3::new(0.2, 0.3, 0.1);
        assert!((nearest_on_axis(&ray, &through, 0).unwrap() - 1.7).abs() < 1e-12);
        assert!(nearest_on_axis(&ray, &through, 1).is_some());
        let along = Ray {
            along: Vec3::x(),
            ..ray
        };
        assert!(nearest_on_axis(&along, &through, 0).is_none());
    }
}
