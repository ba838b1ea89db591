//! What mouse and panel do to the boat: choose, measure, make, put aboard, pull.
use super::edits::{Edits, ItemEdit, rounded};
use super::grip::{Ray, along_the_hull};
use super::made::{Is, Kind, Made};
use super::picked::Picked;
use super::state::ViewerState;
use super::stowed::{Cargo, Pose, Stowed};
use super::tool::{Chosen, Grip, Handle, Tool};
use crate::boat::FaceSource;
use crate::numerics::Vec3;

/// Steps in which a sill is brought to a height along bent skin.
const RAISING_STEPS: usize = 4;
/// How near to that height is near enough, m: what the window shows.
const RAISED_TO_M: f64 = 5e-4;

impl ViewerState {
    /// A click in the picture, on a thing aboard where it is on its sign.
    pub fn click(&mut self, ray: &Ray, item: Option<usize>) {
        self.look_back(false);
        let picked = self.subject().pick(ray);
        match self.tool {
            Tool::Look => {
                self.chosen = self.under(ray, item, picked.as_ref());
                self.picked = picked.into_iter().collect();
            }
            Tool::Measure => {
                if self.picked.len() > 1 {
                    self.picked.clear();
                }
                self.picked.extend(picked);
            }
            Tool::Make(kind) => {
                if let Some(picked) = picked {
                    self.make(kind, ray, &picked);
                }
            }
            Tool::Stow(cargo) => {
                if let Some(picked) = picked {
                    self.stow(cargo, &picked.at_m);
                    self.tool = Tool::Look;
                }
            }
        }
    }

    /// Takes up another tool.
    pub fn take_up(&mut self, tool: Tool) {
        self.tool = tool;
        self.picked.clear();
        if matches!(tool, Tool::Make(_) | Tool::Stow(_)) {
            self.chosen = None;
        }
    }

    fn under(&self, ray: &Ray, item: Option<usize>, picked: Option<&Picked>) -> Option<Chosen> {
        if let Some(item) = item {
            return Some(Chosen::Item(item));
        }
        let made = |name: &str| self.edits().made.iter().any(|made| made.name == name);
        if let Some(opening) = self.subject().opening_at(ray) {
            let name = opening.name.clone();
            return Some(match made(&name) {
                true => Chosen::Made(name),
                false => Chosen::Opening(name),
            });
        }
        let FaceSource::Part(number) = picked?.source else {
            return None;
        };
        let part = self.subject().boat.parts.get(number as usize)?;
        Some(match made(&part.name) {
            true => Chosen::Made(part.name.clone()),
            false => Chosen::Part(part.name.clone()),
        })
    }

    fn make(&mut self, kind: Kind, ray: &Ray, picked: &Picked) {
        let subject = self.subject();
        let water = self.readings().plane;
        let at_m = match kind.is_on_skin() || kind == Kind::Line {
            true => subject.snapped(&picked.at_m, &picked.out, &water),
            false => picked.at_m,
        };
        let begun = self.chosen_made().filter(|made| made.kind == Kind::Line);
        if let Some(name) = begun.filter(|_| kind == Kind::Line).map(|m| m.name.clone()) {
            self.change_made(&name, |made, _| made.points_m.push(rounded(&at_m)));
            self.let_go();
            return;
        }
        let name = self.edits().new_name(kind.name(), self.file());
        let length_m = subject.length_m();
        let mut made = Made::at(kind, name.clone(), &at_m, &picked.out, length_m);
        if kind.goes_on_opening() {
            let nearest = || {
                let off = |rim: &[Vec3]| {
                    let off = rim.iter().map(|p| (p - at_m).norm());
                    off.fold(f64::INFINITY, f64::min)
                };
                let openings = subject.boat.openings.iter();
                openings.min_by(|a, b| off(&a.rim).total_cmp(&off(&b.rim)))
            };
            let Some(on) = subject.opening_at(ray).or_else(nearest) else {
                self.message = "There is no opening for it.".to_owned();
                return;
            };
            made.on.clone_from(&on.name);
        }
        self.note_before(&name);
        self.change(|edits, _| edits.made.push(made));
        self.let_go();
        self.chosen = Some(Chosen::Made(name));
        self.picked = vec![*picked];
        if kind != Kind::Line {
            self.tool = Tool::Look;
        }
    }

    /// Puts a thing aboard where it stands or sits, and chooses it.
    pub fn stow(&mut self, cargo: Cargo, foot_m: &Vec3) {
        let name = self.edits().new_name(cargo.name(), self.file());
        self.note_before(&name);
        let stowed = Stowed {
            name,
            cargo,
            pose: Pose::Sits,
            foot_m: rounded(foot_m),
        };
        let at_m = rounded(&stowed.centre_m(|_| Vec3::zeros()));
        self.change(|edits, _| {
            edits.items.push(ItemEdit {
                aboard: true,
                mass_kg: cargo.mass_kg().0,
                at_m,
                stowed: Some(stowed),
            });
        });
        self.let_go();
        self.chosen = Some(Chosen::Item(self.edits().items.len() - 1));
    }

    /// Lets a person sit, lean or step in at the edge.
    pub fn pose(&mut self, item: usize, pose: Pose) {
        self.change(|edits, subject| {
            let Some(edit) = edits.items.get_mut(item) else {
                return;
            };
            let Some(stowed) = &mut edit.stowed else {
                return;
            };
            stowed.pose = pose;
            let x_m = stowed.foot_m.x;
            edit.at_m = rounded(&stowed.centre_m(|port| subject.edge_m(x_m, port)));
        });
        self.let_go();
    }

    /// The thing made here that is chosen.
    #[must_use]
    pub fn chosen_made(&self) -> Option<&Made> {
        let Some(Chosen::Made(name)) = &self.chosen else {
            return None;
        };
        self.edits().made.iter().find(|made| made.name == *name)
    }

    /// Changes one thing made here.
    pub fn change_made(&mut self, name: &str, change: impl FnOnce(&mut Made, &super::Subject)) {
        self.change(|edits: &mut Edits, subject| {
            if let Some(made) = edits.made.iter_mut().find(|made| made.name == name) {
                change(made, subject);
            }
        });
    }

    /// Sets a figure of one thing made here; sizes stay over nought.
    pub fn set_figure(&mut self, name: &str, number: usize, value: f64) {
        /// Least size, m.
        const LEAST_M: f64 = 1e-3;
        if !value.is_finite() {
            return;
        }
        self.change_made(name, |made, _| {
            let is = made.kind.figures().get(number).map(|figure| figure.is);
            if let (Some(is), Some(figure)) = (is, made.figures.get_mut(number)) {
                *figure = match is {
                    Is::Size => value.max(LEAST_M),
                    Is::Extra => value.max(0.0),
                    Is::Station | Is::Height | Is::Angle => value,
                };
                *figure = (*figure * 1e4).round() / 1e4 + 0.0;
                made.keep_corner();
            }
        });
    }

    /// Takes out what was made or put aboard here.
    pub fn take_out(&mut self, chosen: &Chosen) {
        self.change(|edits, _| match chosen {
            Chosen::Made(name) => edits.made.retain(|made| made.name != *name),
            Chosen::Item(number) => {
                let here = edits.items.get(*number).map(|item| item.stowed.is_some());
                if here == Some(true) {
                    edits.items.remove(*number);
                }
            }
            Chosen::Opening(_) | Chosen::Part(_) => {}
        });
        self.let_go();
        self.chosen = None;
    }

    /// Moves a hole along the skin until its sill is so high above the water at rest.
    pub fn raise_sill(&mut self, name: &str, to_m: f64) {
        for _ in 0..RAISING_STEPS {
            let water = self.readings().plane;
            let (Some(sill_m), Some(was)) = (self.sill_m(name), self.chosen_made().cloned()) else {
                return;
            };
            self.change_made(name, |made, subject| {
                subject.raise(made, sill_m, to_m, &water);
            });
            if self.subject().no_rim.is_some() {
                let why = std::mem::take(&mut self.message);
                self.change_made(name, |made, _| *made = was);
                self.message = why;
                return;
            }
        }
        let is_there = |sill_m: f64| (sill_m - to_m).abs() < RAISED_TO_M;
        if !self.sill_m(name).is_some_and(is_there) {
            "The skin there does not lead to that height.".clone_into(&mut self.message);
        }
    }

    /// How high the sill of an opening stands above the water, m.
    #[must_use]
    pub fn sill_m(&self, name: &str) -> Option<f64> {
        let openings = &self.readings().openings;
        let opening = openings.iter().find(|opening| opening.name == name)?;
        opening.freeboard_m
    }

    /// What can be pulled now: the handles of what is chosen.
    #[must_use]
    pub fn handles(&self) -> Vec<Handle> {
        self.chosen_made()
            .map_or_else(Vec::new, |made| made.handles(self.subject()))
    }

    /// Pulls by a handle to where a ray points.
    pub fn pull(&mut self, grip: Grip, ray: &Ray) {
        let water = self.readings().plane;
        if let Grip::Item(item) = grip {
            let hull_box = self.subject().boat.hull_box_m;
            self.change(|edits, _| {
                let place = edits.items.get(item);
                let place = place.and_then(|edit| along_the_hull(ray, &edit.at_m, &hull_box));
                if let Some(place) = place {
                    edits.move_item(item, &place);
                }
            });
        } else if let Some(name) = self.chosen_made().map(|made| made.name.clone()) {
            self.change_made(&name, |made, subject| made.pull(grip, ray, subject, &water));
        }
    }
}
