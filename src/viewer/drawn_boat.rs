//! One boat as the drawing library holds it: hull, things aboard, the water
//! round it and in it, and its lines.
use std::cell::RefCell;
use std::rc::Rc;

use kiss3d::color::Color;
use kiss3d::glamx::{self, Pose3, Quat};
use kiss3d::renderer::Polyline3d;
use kiss3d::resource::{GpuMesh3d, TextureManager};
use kiss3d::scene::SceneNode3d;
use kiss3d::window::Window;

use super::camera::drawn;
use super::cut::{Cut, cut, section};
use super::display_mesh::DisplayMesh;
use super::edits::ItemEdit;
use super::holed::{holed, rings};
use super::inside::WaterInside;
use super::paint::paint;
use super::shades::{INK, Shades};
use super::sheet::{Sheet, inside_sheet, water_sheet};
use super::shown::Show;
use super::subject::Subject;
use super::world::World;
use crate::boat::edges_of_rim;
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
const INSIDE_EDGE: Color = Color::new(0.06, 0.24, 0.44, 1.0);
const ITEM: Color = Color::new(0.42, 0.44, 0.50, 1.0);

/// The boat to draw, as it lies.
#[derive(Clone, Copy)]
pub(super) struct Lying<'a> {
    pub(super) subject: &'a Subject,
    /// Counts changes of its envelope, boats made anew, and changes of anything.
    pub(super) version: u64,
    pub(super) rims_version: u64,
    pub(super) stage: u64,
    /// Whether something is being pulled: holes are cut out once it is let go.
    pub(super) in_hand: bool,
    pub(super) plane: WaterPlane,
    pub(super) waters_inside: &'a [WaterInside],
    /// The items and how each is aboard.
    pub(super) items: &'a [Item],
    pub(super) aboard: &'a [ItemEdit],
    /// How far the drawn water reaches round the hull, as a share of its length.
    pub(super) reach: f64,
}

impl Lying<'_> {
    fn world(&self) -> World {
        World::new(&self.plane, &self.subject.boat.hull_box_m)
    }

    fn skin_line(&self) -> Cut {
        let boat = &self.subject.boat;
        cut(&boat.envelope.surface, boat.skin_faces, &self.plane)
    }
}

/// What the water drawn depends on.
#[derive(PartialEq)]
struct WaterKey {
    plane: WaterPlane,
    inside: Vec<WaterInside>,
    version: u64,
    reach: f64,
}

/// One boat.
pub(super) struct DrawnBoat {
    group: SceneNode3d,
    version: u64,
    rims_version: u64,
    mesh: DisplayMesh,
    shades: Shades,
    /// Seen from outside and from inside.
    hull: Option<[SceneNode3d; 2]>,
    items: Vec<SceneNode3d>,
    waters: Vec<SceneNode3d>,
    water_edges: Vec<Polyline3d>,
    water_of: Option<WaterKey>,
    lines: Vec<Polyline3d>,
    lines_of: Option<(WaterPlane, u64, u64, Show)>,
    shift: glamx::Vec3,
}

impl DrawnBoat {
    /// Sets a boat up under a root.
    pub(super) fn new(root: &mut SceneNode3d, lying: &Lying<'_>, show: &Show) -> Self {
        let boat = &lying.subject.boat;
        let mut drawn = Self {
            group: root.add_group(),
            version: lying.version,
            rims_version: lying.rims_version,
            mesh: DisplayMesh::default(),
            shades: Shades::new(1.0, &boat.yardsticks.sill),
            hull: None,
            items: Vec::new(),
            waters: Vec::new(),
            water_edges: Vec::new(),
            water_of: None,
            lines: Vec::new(),
            lines_of: None,
            shift: glamx::Vec3::ZERO,
        };
        drawn.build(lying);
        drawn.update(lying, show);
        drawn
    }

    /// The shades that the hull is drawn in.
    pub(super) fn shades(&self) -> &Shades {
        &self.shades
    }

    pub(super) fn set_visible(&mut self, visible: bool) {
        self.group.set_visible(visible);
    }

    /// Moves all of it by so much in the world.
    pub(super) fn shift(&mut self, by_m: &Vec3) {
        self.shift = drawn(by_m);
        self.group.set_position(self.shift);
    }

    fn build(&mut self, lying: &Lying<'_>) {
        let old = self.hull.iter_mut().flatten().chain(&mut self.items);
        for node in old {
            node.remove();
        }
        let boat = &lying.subject.boat;
        self.version = lying.version;
        self.rims_version = lying.rims_version;
        self.water_of = None;
        self.mesh = holed(lying.subject.drawn(), boat);
        let (lo, hi) = boat.envelope.surface.bounds().unwrap_or_default();
        self.shades = Shades::new((hi - lo).norm(), &boat.yardsticks.sill);
        let outside = add_mesh(&mut self.group, &self.mesh, false);
        let inside = add_mesh(&mut self.group, &self.mesh, true);
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
            node
        }));
        let group = &mut self.group;
        self.items = lying.items.iter().map(|item| shape(group, item)).collect();
    }

    /// Follows the boat.
    pub(super) fn update(&mut self, lying: &Lying<'_>, show: &Show) {
        let rims_differ = self.rims_version != lying.rims_version && !lying.in_hand;
        if self.version != lying.version || rims_differ {
            self.build(lying);
        }
        let world = lying.world();
        let key = WaterKey {
            plane: lying.plane,
            inside: lying.waters_inside.to_vec(),
            version: lying.version,
            reach: lying.reach,
        };
        if self.water_of.as_ref() != Some(&key) {
            self.colour_and_place(&world, &lying.plane);
            self.draw_water(lying, &world);
            self.water_of = Some(key);
        }
        let through = if show.see_through { SEEN_THROUGH } else { 1.0 };
        for node in self.hull.iter_mut().flatten() {
            node.set_color(Color::new(1.0, 1.0, 1.0, through));
        }
        for water in &mut self.waters {
            water.set_visible(show.water);
        }
        let turned = rotation(&world);
        for (node, edit) in self.items.iter_mut().zip(lying.aboard) {
            node.set_visible(show.items && edit.aboard);
            node.set_pose(Pose3::from_parts(drawn(&world.of_boat(&edit.at_m)), turned));
        }
        let lines_of = (lying.plane, lying.version, lying.stage, *show);
        if self.lines_of != Some(lines_of) {
            self.lines_of = Some(lines_of);
            self.draw_lines(lying, show, &world);
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

    fn draw_water(&mut self, lying: &Lying<'_>, world: &World) {
        for mut old in self.waters.drain(..) {
            old.remove();
        }
        self.water_edges.clear();
        let boat = &lying.subject.boat;
        let surface = &boat.envelope.surface;
        let waterline = cut(surface, surface.faces.len(), &lying.plane);
        let sheet = water_sheet(&waterline, &lying.plane, &boat.hull_box_m, lying.reach);
        // Its edge shows where the water stands when it is seen level.
        let border = sheet.points[..4].iter().chain(sheet.points.first());
        let border = border.map(|point| drawn(&world.of_water(*point))).collect();
        self.water_edges.push(line(border, EDGE, 1.5));
        let outside = self.add_sheet(&sheet, world, 0.0, SURFACE);
        self.waters.push(outside);
        for water in lying.waters_inside {
            let Some((walls, _)) = water.room_of(lying.subject) else {
                continue;
            };
            let around = cut(walls, walls.faces.len(), &water.plane);
            let sheet = inside_sheet(&around, &water.plane);
            let over_m = water.plane.level_m - lying.plane.level_m;
            for mut ring in around.loops {
                ring.extend(ring.first().copied());
                let ring = ring.iter().map(|p| drawn(&world.of_boat(p))).collect();
                self.water_edges.push(line(ring, INSIDE_EDGE, 1.5));
            }
            let surface = self.add_sheet(&sheet, world, over_m, INSIDE_SURFACE);
            self.waters.push(surface);
        }
    }

    /// Adds a level sheet so far above the water outside.
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
        let mesh = Rc::new(RefCell::new(mesh));
        let mut node = self.group.add_mesh(mesh, glamx::Vec3::ONE);
        node.set_material(paint());
        node.set_color(colour);
        node.enable_backface_culling(false);
        node
    }

    fn draw_lines(&mut self, lying: &Lying<'_>, show: &Show, world: &World) {
        self.lines.clear();
        let mut add = |points: &[Vec3], closed: bool, colour: Color, width: f32| {
            let mut points: Vec<glamx::Vec3> =
                points.iter().map(|p| drawn(&world.of_boat(p))).collect();
            if closed {
                points.extend(points.first().copied());
            }
            self.lines
                .push(line(points, colour, width).with_depth_bias(0.0005));
        };
        let [r, g, b] = INK.map(|c| f32::from(c) / 255.0);
        let ink = Color::new(r, g, b, 1.0);
        let mut add_cut = |lines: &Cut, colour: Color, width: f32| {
            for line in &lines.loops {
                add(line, true, colour, width);
            }
            for line in &lines.open {
                add(line, false, colour, width);
            }
        };
        add_cut(&lying.skin_line(), ink, 2.0);
        if let Some(plane) = &show.section {
            let boat = &lying.subject.boat;
            let curve = section(&boat.envelope.surface, boat.skin_faces, plane);
            add_cut(&curve, SECTION, 4.0);
        }
        for opening in &lying.subject.boat.openings {
            let closed = rings(&opening.rim);
            for ring in &closed {
                add(ring, true, RIM, 3.0);
            }
            if closed.is_empty() {
                for edge in edges_of_rim(&opening.rim).0 {
                    add(&edge, false, RIM, 3.0);
                }
            }
        }
    }

    /// Hands the lines to the window: they last one frame.
    pub(super) fn hand_lines(&self, window: &mut Window, show: &Show) {
        let at = Pose3::from_parts(self.shift, Quat::IDENTITY);
        let water = if show.water {
            &self.water_edges[..]
        } else {
            &[]
        };
        for line in water.iter().chain(&self.lines) {
            window.draw_polyline(&line.clone().with_transform(at));
        }
    }
}

pub(super) fn line(points: Vec<glamx::Vec3>, colour: Color, width: f32) -> Polyline3d {
    Polyline3d::new(points).with_color(colour).with_width(width)
}

/// The shape that stands for an item: a block of its size, or a ball.
fn shape(group: &mut SceneNode3d, item: &Item) -> SceneNode3d {
    let mut node = match &item.size {
        Some(size) => {
            let size = drawn(&point_m(size));
            group.add_cube(size.x, size.y, size.z)
        }
        None => {
            let radius = BALL_M * item.mass.value.max(0.0).cbrt();
            group.add_sphere(drawn(&Vec3::repeat(radius)).x)
        }
    };
    node.set_material(paint());
    node.set_color(ITEM);
    node
}

/// How the boat frame is turned in the world.
fn rotation(world: &World) -> Quat {
    let [forward, port, up] = world.axes();
    let columns = [0, 1, 2].map(|axis| drawn(&Vec3::new(forward[axis], port[axis], up[axis])));
    Quat::from_mat3(&glamx::Mat3::from_cols(columns[0], columns[1], columns[2]))
}

/// Where the boat frame lies in the world.
pub(super) fn pose(world: &World) -> Pose3 {
    Pose3::from_parts(drawn(&world.of_boat(&Vec3::zeros())), rotation(world))
}

/// Adds a mesh, or its inner side.
pub(super) fn add_mesh(root: &mut SceneNode3d, mesh: &DisplayMesh, inside: bool) -> SceneNode3d {
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
    let mut node = root.add_mesh(Rc::new(RefCell::new(mesh)), glamx::Vec3::ONE);
    node.set_material(paint());
    node
}

/// A row of shades as a PNG in memory.
fn row_png(row: &[[u8; 3]]) -> Vec<u8> {
    let width = u32::try_from(row.len()).unwrap_or(u32::MAX);
    super::picture::png_of(width, 1, row.as_flattened()).unwrap_or_default()
}
