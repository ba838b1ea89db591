//! Everything drawn in space.
use kiss3d::camera::OrbitCamera3d;
use kiss3d::color::Color;
use kiss3d::renderer::Polyline3d;
use kiss3d::scene::SceneNode3d;
use kiss3d::window::Window;

use super::beside::Layout;
use super::camera::{beside_shift, drawn};
use super::cut::cut;
use super::drawn_boat::{DrawnBoat, Lying, add_mesh, line, pose};
use super::ghost::Ghost;
use super::holed::holed;
use super::shades::Shades;
use super::sheet::{REACH, REACH_BESIDE};
use super::shown::{Before, Show};
use super::state::ViewerState;
use super::world::World;
use crate::boat::edges_of_rim;
use crate::numerics::Vec3;

const GHOST: Color = Color::new(0.30, 0.26, 0.42, 0.22);
const GHOST_LINE: Color = Color::new(0.34, 0.30, 0.46, 1.0);

/// Everything drawn in space.
pub(super) struct Scene {
    /// The root.
    pub(super) root: SceneNode3d,
    boat: DrawnBoat,
    ghost: Option<(SceneNode3d, Vec<Polyline3d>)>,
    /// Which boat that is, and whether there is one.
    ghost_of: (bool, bool),
    beside: Option<DrawnBoat>,
    /// Where the boat before lies beside this one in the world, m.
    shift_m: Option<Vec3>,
    show: Show,
}

impl Scene {
    /// Sets the boat up.
    pub(super) fn new(state: &ViewerState) -> Self {
        let mut root = SceneNode3d::empty();
        let boat = DrawnBoat::new(&mut root, &lying_now(state), &state.show);
        let mut scene = Self {
            root,
            boat,
            ghost: None,
            ghost_of: (false, false),
            beside: None,
            shift_m: None,
            show: state.show,
        };
        scene.update(state);
        scene
    }

    /// The shades that the hull is drawn in.
    pub(super) fn shades(&self) -> &Shades {
        self.boat.shades()
    }

    /// How far the boat before lies from this one in the world, where it is
    /// drawn beside it, m.
    pub(super) fn shift_m(&self) -> Option<Vec3> {
        self.shift_m
    }

    /// Follows the state.
    pub(super) fn update(&mut self, state: &ViewerState) {
        self.show = state.show;
        let looks = (state.looks_back(), state.ghost().is_some());
        if self.ghost_of != looks {
            self.ghost_of = looks;
            if let Some((mut node, _)) = self.ghost.take() {
                node.remove();
            }
        }
        if state.before() == Before::Over && self.ghost.is_none() {
            self.ghost = state.ghost().map(|ghost| {
                let node = ghost_hull(&mut self.root, ghost);
                (node, ghost_lines(ghost))
            });
        }
        self.boat.update(&lying_now(state), &state.show);
        let how = state.before();
        if let Some((node, _)) = &mut self.ghost {
            node.set_visible(how == Before::Over);
        }
        if let Some(ghost) = state.ghost().filter(|_| how == Before::Beside) {
            let lying = lying_before(state, ghost);
            match &mut self.beside {
                Some(beside) => beside.update(&lying, &state.show),
                None => {
                    self.beside = Some(DrawnBoat::new(&mut self.root, &lying, &state.show));
                }
            }
        }
        if let Some(beside) = &mut self.beside {
            beside.set_visible(how == Before::Beside);
        }
    }

    /// Lays the boat before beside this one, as seen from the eye.
    pub(super) fn lay_beside(
        &mut self,
        state: &ViewerState,
        camera: &OrbitCamera3d,
        layout: Layout,
    ) {
        self.shift_m = beside_shift(state, camera, layout);
        if let (Some(beside), Some(shift_m)) = (&mut self.beside, &self.shift_m) {
            beside.shift(shift_m);
        }
    }

    /// Hands the lines to the window: they last one frame.
    pub(super) fn hand_lines(&self, window: &mut Window, state: &ViewerState) {
        match (state.before(), &self.ghost, &self.beside) {
            (Before::Over, Some((_, lines)), _) => {
                for line in lines {
                    window.draw_polyline(line);
                }
            }
            (Before::Beside, _, Some(beside)) => beside.hand_lines(window, &self.show),
            _ => {}
        }
        self.boat.hand_lines(window, &self.show);
    }
}

/// The water reaches less far where two boats lie side by side.
fn lying_now(state: &ViewerState) -> Lying<'_> {
    Lying {
        subject: state.subject(),
        version: state.hull_version(),
        rims_version: state.rims_version(),
        stage: state.stage(),
        in_hand: state.in_hand,
        plane: state.readings().plane,
        waters_inside: state.waters_inside(),
        items: &state.subject().file.items,
        aboard: &state.aboard().items,
        reach: match state.before() {
            Before::Beside => REACH_BESIDE,
            Before::Over | Before::Hidden => REACH,
        },
    }
}

fn lying_before<'a>(state: &ViewerState, ghost: &'a Ghost) -> Lying<'a> {
    Lying {
        subject: &ghost.subject,
        version: state.hull_version(),
        rims_version: 0,
        stage: 0,
        in_hand: false,
        plane: ghost.readings.plane,
        waters_inside: &ghost.waters_inside,
        items: &ghost.subject.file.items,
        aboard: &ghost.edits.items,
        reach: REACH_BESIDE,
    }
}

/// The hull before; the two lie amidships over each other, each at its own rest.
fn ghost_hull(root: &mut SceneNode3d, ghost: &Ghost) -> SceneNode3d {
    let boat = &ghost.subject.boat;
    let mut node = add_mesh(root, &holed(ghost.subject.drawn(), boat), false);
    node.set_color(GHOST);
    node.set_pose(pose(&World::new(&ghost.readings.plane, &boat.hull_box_m)));
    node
}

/// Its rims and its waterline.
fn ghost_lines(ghost: &Ghost) -> Vec<Polyline3d> {
    let boat = &ghost.subject.boat;
    let plane = ghost.readings.plane;
    let world = World::new(&plane, &boat.hull_box_m);
    let mut waterline = cut(&boat.envelope.surface, boat.skin_faces, &plane);
    for ring in &mut waterline.loops {
        ring.extend(ring.first().copied());
    }
    let rims = boat.openings.iter().flat_map(|o| edges_of_rim(&o.rim).0);
    rims.map(Vec::from)
        .chain(waterline.loops)
        .chain(waterline.open)
        .map(|points| {
            let points = points.iter().map(|p| drawn(&world.of_boat(p))).collect();
            line(points, GHOST_LINE, 1.5)
        })
        .collect()
}
