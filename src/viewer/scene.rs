//! The boat and the water as the drawing library holds them.
use std::cell::RefCell;
use std::rc::Rc;

use kiss3d::color::Color;
use kiss3d::glamx::{self, Pose3, Quat};
use kiss3d::light::Light;
use kiss3d::renderer::Polyline3d;
use kiss3d::resource::{GpuMesh3d, TextureManager};
use kiss3d::scene::SceneNode3d;
use kiss3d::window::Window;

use super::camera::drawn;
use super::cut::{cut, section};
use super::display_mesh::{DISPLAY_TRIANGLES, DisplayMesh};
use super::rim::rim_lines;
use super::shades::{INK, Shades};
use super::sheet::{Sheet, inside_sheet, water_sheet};
use super::shown::Show;
use super::state::ViewerState;
use super::world::World;
use crate::boat::file::{Item, point_m};
use crate::immersion::WaterPlane;
use crate::numerics::Vec3;

/// Radius of the ball that stands for an item without a size, m, times the cube
/// root of its mass in kg: shapes are not made up.
const BALL_M: f64 = 0.014;
const SEEN_THROUGH: f32 = 0.35;
const RIM: Color = Color::new(0.72, 0.05, 0.35, 1.0);
const SECTION: Color = Color::new(0.45, 0.15, 0.65, 1.0);
const SURFACE: Color = Color::new(0.30, 0.62, 0.72, 0.45);
const INSIDE_SURFACE: Color = Color::new(0.16, 0.44, 0.62, 0.7);
const EDGE: Color = Color::new(0.20, 0.48, 0.58, 1.0);
const ITEM: Color = Color::new(0.42, 0.44, 0.50, 1.0);
const GHOST: Color = Color::new(0.30, 0.26, 0.42, 0.22);
const GHOST_LINE: Color = Color::new(0.34, 0.30, 0.46, 1.0);

/// Everything drawn in space.
pub(super) struct Scene {
    /// The root.
    pub(super) root: SceneNode3d,
    mesh: DisplayMesh,
    shades: Shades,
    /// Seen from outside and from inside.
    hull: Option<[SceneNode3d; 2]>,
    hull_version: u64,
    water: Option<SceneNode3d>,
    inside_water: Option<SceneNode3d>,
    items: Vec<SceneNode3d>,
    ghost: Option<SceneNode3d>,
    ghost_lines: Vec<Polyline3d>,
    rims: Vec<Vec<[Vec3; 2]>>,
    lines: Vec<Polyline3d>,
    water_edge: Vec<glamx::Vec3>,
    drawn_plane: Option<(WaterPlane, Option<f64>, u64)>,
    lines_of: Option<(WaterPlane, u64, Show)>,
}

impl Scene {
    /// Sets the boat up.
    pub(super) fn new(state: &ViewerState) -> Self {
        let mut root = SceneNode3d::empty();
        for (towards, intensity) in [
            (glamx::Vec3::new(-0.35, 0.55, -0.9), 2.1),
            (glamx::Vec3::new(0.5, -0.8, -0.25), 0.7),
            (glamx::Vec3::new(0.2, 0.3, 0.9), 0.6),
        ] {
            let light = Light::directional(towards).with_intensity(intensity);
            root.add_child(SceneNode3d::new_light(light.with_casts_shadows(false)));
        }
        let mut scene = Self {
            root,
            mesh: DisplayMesh::default(),
            shades: Shades::new(1.0, &state.subject().boat.yardsticks.sill),
            hull: None,
            hull_version: 0,
            water: None,
            inside_water: None,
            items: Vec::new(),
            ghost: None,
            ghost_lines: Vec::new(),
            rims: Vec::new(),
            lines: Vec::new(),
            water_edge: Vec::new(),
            drawn_plane: None,
            lines_of: None,
        };
        scene.build_hull(state);
        scene.build_ghost(state);
        scene.build_items(&state.subject().file.items);
        scene.update(state);
        scene
    }

    /// The shades that the hull is drawn in.
    pub(super) fn shades(&self) -> &Shades {
        &self.shades
    }

    fn build_hull(&mut self, state: &ViewerState) {
        for node in self.hull.iter_mut().flatten() {
            node.remove();
        }
        let boat = &state.subject().boat;
        self.hull_version = state.hull_version();
        self.mesh = DisplayMesh::new(&boat.envelope.surface, boat.skin_faces, DISPLAY_TRIANGLES);
        let (lo, hi) = boat.envelope.surface.bounds().unwrap_or_default();
        self.shades = Shades::new((hi - lo).norm(), &boat.yardsticks.sill);
        self.rims = boat.openings.iter().map(|o| rim_lines(&o.rim)).collect();
        let outside = add_mesh(&mut self.root, &self.mesh, false);
        let inside = add_mesh(&mut self.root, &self.mesh, true);
        // The library keeps textures by name for good.
        let name = |side: &str| format!("{side} {:?}", self.shades);
        let sides = [
            (outside, self.shades.row(), name("outside")),
            (inside, self.shades.inside_row(), name("inside")),
        ];
        self.hull = Some(sides.map(|(mut node, row, name)| {
            let texture = TextureManager::get_global_manager(|textures| {
                textures.add_image_from_memory_pixelated(&row_png(&row), &name)
            });
            node.set_texture(texture);
            node.enable_backface_culling(true);
            node.set_roughness(0.9);
            node
        }));
    }

    fn build_ghost(&mut self, state: &ViewerState) {
        let Some(ghost) = state.ghost() else {
            return;
        };
        let boat = &ghost.subject.boat;
        let mesh = DisplayMesh::new(&boat.envelope.surface, boat.skin_faces, DISPLAY_TRIANGLES);
        let mut node = add_mesh(&mut self.root, &mesh, false);
        node.set_color(GHOST);
        // The two hulls lie amidships over each other, each at its own rest.
        let plane = ghost.readings.plane;
        let world = World::new(&plane, &boat.hull_box_m);
        node.set_pose(pose(&world));
        self.ghost = Some(node);
        let surface = &boat.envelope.surface;
        let mut waterline = cut(surface, boat.skin_faces, &plane);
        for ring in &mut waterline.loops {
            ring.extend(ring.first().copied());
        }
        let rims = boat.openings.iter().flat_map(|o| rim_lines(&o.rim));
        let lines = rims
            .map(Vec::from)
            .chain(waterline.loops)
            .chain(waterline.open);
        self.ghost_lines = lines
            .map(|line| {
                let line = line.iter().map(|p| drawn(&world.of_boat(p))).collect();
                Polyline3d::new(line).with_color(GHOST_LINE).with_width(1.5)
            })
            .collect();
    }

    fn build_items(&mut self, items: &[Item]) {
        self.items = items
            .iter()
            .map(|item| {
                let mut node = match &item.size {
                    Some(size) => {
                        let size = drawn(&point_m(size));
                        self.root.add_cube(size.x, size.y, size.z)
                    }
                    None => {
                        let radius = BALL_M * item.mass.value.max(0.0).cbrt();
                        self.root.add_sphere(drawn(&Vec3::repeat(radius)).x)
                    }
                };
                node.set_color(ITEM);
                node.set_roughness(0.8);
                node
            })
            .collect();
    }

    /// Follows the state.
    pub(super) fn update(&mut self, state: &ViewerState) {
        if self.hull_version != state.hull_version() {
            self.build_hull(state);
            self.drawn_plane = None;
        }
        let boat = &state.subject().boat;
        let plane = state.readings().plane;
        let world = World::new(&plane, &boat.hull_box_m);
        let through = if state.show.see_through {
            SEEN_THROUGH
        } else {
            1.0
        };
        let inside = state.water_inside().map(|inside| inside.level_m);
        if self.drawn_plane != Some((plane, inside, self.hull_version)) {
            self.drawn_plane = Some((plane, inside, self.hull_version));
            self.colour_and_place(&world, &plane);
            self.draw_water(state, &world);
        }
        for node in self.hull.iter_mut().flatten() {
            node.set_color(Color::new(1.0, 1.0, 1.0, through));
        }
        for water in [&mut self.water, &mut self.inside_water]
            .into_iter()
            .flatten()
        {
            water.set_visible(state.show.water);
        }
        if let Some(ghost) = &mut self.ghost {
            ghost.set_visible(state.show.ghost);
        }
        let turned = rotation(&world);
        for (node, edit) in self.items.iter_mut().zip(&state.edits().items) {
            node.set_visible(state.show.items && edit.aboard);
            node.set_pose(Pose3::from_parts(drawn(&world.of_boat(&edit.at_m)), turned));
        }
        let lines_of = (plane, self.hull_version, state.show);
        if self.lines_of != Some(lines_of) {
            self.lines_of = Some(lines_of);
            self.draw_lines(state, &world);
        }
    }

    /// Colours the hull by height and lays it on the water.
    fn colour_and_place(&mut self, world: &World, plane: &WaterPlane) {
        let places = self.mesh.shade_at_corners(plane, &self.shades);
        let pose = pose(world);
        for node in self.hull.iter_mut().flatten() {
            node.modify_uvs(&mut |uvs: &mut Vec<glamx::Vec2>| {
                for (uv, place) in uvs.iter_mut().zip(&places) {
                    *uv = glamx::Vec2::new(*place, 0.5);
                }
            });
            node.set_pose(pose);
        }
    }

    fn draw_water(&mut self, state: &ViewerState, world: &World) {
        if let Some(mut old) = self.water.take() {
            old.remove();
        }
        if let Some(mut old) = self.inside_water.take() {
            old.remove();
        }
        let boat = &state.subject().boat;
        let surface = &boat.envelope.surface;
        let plane = state.readings().plane;
        let waterline = cut(surface, surface.faces.len(), &plane);
        let sheet = water_sheet(&waterline, &plane, &boat.hull_box_m);
        // Its edge shows where the water stands when it is seen level.
        self.water_edge = sheet.points[..4]
            .iter()
            .map(|point| drawn(&world.of_water(*point)))
            .collect();
        self.water = Some(self.add_sheet(&sheet, world, 0.0, SURFACE));
        let inside = state.water_inside();
        self.inside_water = inside.map(|inside| {
            let line = cut(surface, surface.faces.len(), &inside);
            let sheet = inside_sheet(&line, &inside);
            let over_m = inside.level_m - plane.level_m;
            self.add_sheet(&sheet, world, over_m, INSIDE_SURFACE)
        });
    }

    /// Adds a level sheet so far over the water outside.
    fn add_sheet(
        &mut self,
        sheet: &Sheet,
        world: &World,
        over_m: f64,
        colour: Color,
    ) -> SceneNode3d {
        let point = |point: &[f64; 2]| drawn(&(world.of_water(*point) + Vec3::z() * over_m));
        let points = sheet.points.iter().map(point).collect();
        let mesh = GpuMesh3d::new(points, sheet.triangles.clone(), None, None, false);
        let mut node = self
            .root
            .add_mesh(Rc::new(RefCell::new(mesh)), glamx::Vec3::ONE);
        node.set_color(colour);
        node.set_roughness(1.0);
        node.enable_backface_culling(false);
        node
    }

    fn draw_lines(&mut self, state: &ViewerState, world: &World) {
        self.lines.clear();
        let boat = &state.subject().boat;
        let surface = &boat.envelope.surface;
        if state.show.ghost {
            self.lines.extend(self.ghost_lines.iter().cloned());
        }
        if state.show.water {
            let mut edge = self.water_edge.clone();
            edge.extend(self.water_edge.first().copied());
            self.lines
                .push(Polyline3d::new(edge).with_color(EDGE).with_width(1.5));
        }
        let mut add = |points: &[Vec3], closed: bool, colour: Color, width: f32| {
            let mut line: Vec<glamx::Vec3> =
                points.iter().map(|p| drawn(&world.of_boat(p))).collect();
            if closed {
                line.extend(line.first().copied());
            }
            let line = Polyline3d::new(line).with_color(colour).with_width(width);
            self.lines.push(line.with_depth_bias(0.0005));
        };
        let [r, g, b] = INK.map(|c| f32::from(c) / 255.0);
        let ink = Color::new(r, g, b, 1.0);
        let skin_line = cut(surface, boat.skin_faces, &state.readings().plane);
        for line in &skin_line.loops {
            add(line, true, ink, 2.0);
        }
        for line in &skin_line.open {
            add(line, false, ink, 2.0);
        }
        for edge in self.rims.iter().flatten() {
            add(edge, false, RIM, 3.0);
        }
        if let Some(plane) = &state.show.section {
            let curve = section(surface, boat.skin_faces, plane);
            for line in &curve.loops {
                add(line, true, SECTION, 4.0);
            }
            for line in &curve.open {
                add(line, false, SECTION, 4.0);
            }
        }
    }

    /// Hands the lines to the window: they last one frame.
    pub(super) fn hand_lines(&self, window: &mut Window) {
        for line in &self.lines {
            window.draw_polyline(line);
        }
    }
}

/// How the boat frame is turned in the world.
fn rotation(world: &World) -> Quat {
    let [forward, port, up] = world.axes();
    let columns = [0, 1, 2].map(|axis| drawn(&Vec3::new(forward[axis], port[axis], up[axis])));
    Quat::from_mat3(&glamx::Mat3::from_cols(columns[0], columns[1], columns[2]))
}

fn pose(world: &World) -> Pose3 {
    Pose3::from_parts(drawn(&world.of_boat(&Vec3::zeros())), rotation(world))
}

/// Adds a mesh, or its inner side.
fn add_mesh(root: &mut SceneNode3d, mesh: &DisplayMesh, inside: bool) -> SceneNode3d {
    let sign = if inside { -1.0 } else { 1.0 };
    let normals = mesh.normals.iter().map(|n| drawn(&(n * sign))).collect();
    let faces = mesh
        .faces
        .iter()
        .map(|[a, b, c]| if inside { [*a, *c, *b] } else { [*a, *b, *c] })
        .collect();
    let points = mesh.points.iter().map(drawn).collect();
    let places = vec![glamx::Vec2::ZERO; mesh.points.len()];
    let mesh = GpuMesh3d::new(points, faces, Some(normals), Some(places), true);
    root.add_mesh(Rc::new(RefCell::new(mesh)), glamx::Vec3::ONE)
}

/// A row of shades as a PNG in memory.
fn row_png(row: &[[u8; 3]]) -> Vec<u8> {
    let width = u32::try_from(row.len()).unwrap_or(u32::MAX);
    super::picture::png_of(width, 1, row.as_flattened()).unwrap_or_default()
}
