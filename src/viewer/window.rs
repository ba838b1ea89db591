//! The window.
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::Duration;

use kiss3d::camera::OrbitCamera3d;
use kiss3d::egui::{Order, Pos2, pos2};
use kiss3d::event::{Action, Key, Modifiers, MouseButton, WindowEvent};
use kiss3d::glamx;
use kiss3d::pollster;
use kiss3d::window::{NumSamples, Window};

use super::beside::Layout;
use super::camera::{Covered, Fitted, Look, camera_for, sight};
use super::grip::Ray;
use super::marks::title;
use super::overlay::{Canvas, overlay};
use super::panel::{BAND_HEIGHT, Desk, PANEL_WIDTH, panel};
use super::picture::{png_of, set_up};
use super::scan::ScanState;
use super::scan_window::run_scan;
use super::scene::Scene;
use super::state::ViewerState;
use super::tool::{Grip, Tool};
use super::view::View;
use super::vulkan::{NoGraphics, draws_by_software, free_what_was_drawn, require_graphics};
use super::world::World;

const SIZE: (u32, u32) = (1280, 800);
/// Frames drawn after the last input: the panel unfolds and fades meanwhile.
pub(super) const FRAMES_TO_SETTLE: u32 = 12;
/// How long to rest before the next look for input.
pub(super) const REST_BETWEEN_LOOKS: Duration = Duration::from_millis(15);
/// How near to a handle's or an item's middle the mouse takes hold of it, points.
const GRIP: f32 = 14.0;
/// How far the mouse may go between press and release of a click, points.
const STILL: f32 = 4.0;

/// What a window is opened on.
#[derive(Debug)]
pub enum Opened {
    /// A boat.
    Boat(Box<ViewerState>),
    /// A mesh that is no boat yet.
    Scan(Box<ScanState>),
}

/// Opens a window and runs it until it is closed. On the main thread only.
///
/// # Errors
/// [`NoGraphics`] where nothing can be drawn.
pub fn run_window(first: Opened, view: View, desk: &mut dyn Desk) -> Result<(), NoGraphics> {
    require_graphics(true)?;
    let mut window = open(&match &first {
        Opened::Boat(state) => title(state),
        Opened::Scan(scan) => scan.title(),
    })?;
    pollster::block_on(async {
        let mut next = Some(first);
        while let Some(opened) = next {
            (window, next) = match opened {
                Opened::Boat(mut state) => {
                    let shown = Shown::new(window, &state, view);
                    shown.run(&mut state, desk).await
                }
                Opened::Scan(mut scan) => run_scan(window, &mut scan, desk).await,
            };
        }
    });
    Ok(())
}

/// Opens the window. The library stops at a display that is not there.
fn open(title: &str) -> Result<Window, NoGraphics> {
    let said = std::panic::take_hook();
    std::panic::set_hook(Box::new(|_| {}));
    let opened = catch_unwind(AssertUnwindSafe(|| {
        pollster::block_on(Window::new_with_size(title, SIZE.0, SIZE.1))
    }));
    std::panic::set_hook(said);
    let mut window = opened.map_err(|_| NoGraphics::DisplayGone)?;
    // Escape closes what is open in the panel, not the window.
    window.rebind_close_key(None);
    set_up(&mut window);
    if draws_by_software() {
        window.set_samples(NumSamples::One);
    }
    Ok(window)
}

/// A mouse button that is down in the picture.
struct Pressed {
    at: Pos2,
    grip: Option<Grip>,
}

/// The window and what it shows.
struct Shown {
    window: Window,
    scene: Scene,
    title: String,
    camera: OrbitCamera3d,
    layout: Layout,
    pressed: Option<Pressed>,
    /// Whether Control is down: a letter with it is a command, not text.
    control: bool,
}

/// What came in since the last look.
#[derive(Default)]
struct Followed {
    /// A view that was asked for.
    asked: Option<View>,
    /// Whether the boat is to be fitted into the picture anew, seen as it is.
    refit: bool,
    /// Whether anything came at all.
    any: bool,
}

impl Shown {
    fn new(window: Window, state: &ViewerState, view: View) -> Self {
        let scene = Scene::new(state);
        let Fitted { camera, layout } =
            camera_for(Look::of(view), &window, state, covered(&window, state));
        Self {
            title: String::new(),
            window,
            scene,
            camera,
            layout,
            pressed: None,
            control: false,
        }
    }

    fn fit(&mut self, state: &ViewerState, view: Option<View>) {
        let look = view.map(Look::of).or_else(|| Look::of_eye(&self.camera));
        let covered = covered(&self.window, state);
        let look = look.unwrap_or_else(|| Look::of(View::Top));
        let fitted = camera_for(look, &self.window, state, covered);
        (self.camera, self.layout) = (fitted.camera, fitted.layout);
    }

    /// Until it is closed, or something else is opened that is no boat.
    async fn run(
        mut self,
        state: &mut ViewerState,
        desk: &mut dyn Desk,
    ) -> (Window, Option<Opened>) {
        let (mut before, mut with_panel) = (state.before(), state.show.panel);
        let mut quiet_frames = 0;
        while !state.closes {
            self.window.canvas_mut().poll_events();
            let Followed {
                mut asked,
                refit,
                any,
            } = self.follow_events(state);
            // Nothing moves by itself: a picture that stays is not drawn again.
            if any || state.is_busy() {
                quiet_frames = 0;
            } else if quiet_frames >= FRAMES_TO_SETTLE {
                std::thread::sleep(REST_BETWEEN_LOOKS);
                continue;
            }
            quiet_frames += 1;
            state.in_hand = self.pressed.as_ref().is_some_and(|p| p.grip.is_some());
            state.poll();
            self.window
                .draw_ui(|ctx| asked = panel(ctx, state, desk).or(asked));
            if let Some(opened) = self.open_another(state, desk) {
                return (self.window, Some(opened));
            }
            // Two boats side by side need another picture than one.
            let beside = before != state.before() || with_panel != state.show.panel;
            if asked.is_some() || refit || beside {
                (before, with_panel) = (state.before(), state.show.panel);
                self.fit(state, asked);
            }
            self.retitle(state);
            if !self.draw(state).await {
                break;
            }
            self.take_picture(state, desk);
        }
        (self.window, None)
    }

    async fn draw(&mut self, state: &ViewerState) -> bool {
        self.scene.update(state);
        self.scene.lay_beside(state, &self.camera, self.layout);
        self.scene.hand_lines(&mut self.window, state);
        let mut canvas = Canvas::of(&self.window, &self.camera);
        canvas.left = left_of_picture(state);
        canvas.top = BAND_HEIGHT;
        canvas.before_m = self.scene.shift_m();
        let shades = self.scene.shades();
        self.window
            .draw_ui(|ctx| overlay(ctx, state, &canvas, shades));
        let drawn = self
            .window
            .render_3d(&mut self.scene.root, &mut self.camera)
            .await;
        free_what_was_drawn();
        drawn
    }

    fn retitle(&mut self, state: &ViewerState) {
        let now = title(state);
        if now != self.title {
            self.window.set_title(&now);
            self.title = now;
        }
    }

    /// What is to be opened in the place of this boat.
    fn open_another(&self, state: &mut ViewerState, desk: &mut dyn Desk) -> Option<Opened> {
        if let Some(dropped) = self.window.dropped_files().into_iter().next() {
            state.ask_to_open(dropped);
        }
        let path = state.opens.take()?;
        match desk.open(&path) {
            Ok(mut opened) => {
                if let Opened::Boat(next) = &mut opened {
                    next.units = state.units;
                }
                Some(opened)
            }
            Err(why) => {
                state.message = why;
                None
            }
        }
    }

    fn take_picture(&mut self, state: &mut ViewerState, desk: &mut dyn Desk) {
        if !std::mem::take(&mut state.wants_picture) {
            return;
        }
        let image = self.window.snap_image();
        let (width, height) = image.dimensions();
        let png = png_of(width, height, image.as_raw()).map_err(|error| error.to_string());
        let done = png.and_then(|png| desk.put_picture(state, &png));
        state.message = done.unwrap_or_else(|why| format!("No picture: {why}"));
    }

    /// Keys and mouse.
    fn follow_events(&mut self, state: &mut ViewerState) -> Followed {
        // A slider that was moved keeps the focus; only a text being typed wants keys.
        let keys_are_free = !self.window.egui_context().text_edit_focused();
        let mut mouse = self.window.cursor_pos();
        let mut followed = Followed::default();
        let mut goes_down = false;
        let mut events = self.window.events();
        for mut event in events.iter() {
            followed.any = true;
            if let WindowEvent::Key(_, _, modifiers) = event.value {
                self.control = modifiers.contains(Modifiers::Control);
            }
            match event.value {
                WindowEvent::Char(_) | WindowEvent::CharModifiers(..) if self.control => {
                    event.inhibited = true;
                }
                WindowEvent::Key(key, Action::Press, modifiers) if keys_are_free => {
                    followed.refit |= key == Key::V;
                    followed.asked = follow_key(key, modifiers, state).or(followed.asked);
                }
                WindowEvent::FramebufferSize(..) => followed.refit = true,
                WindowEvent::Close => {
                    state.ask_to_close();
                    event.inhibited = !state.closes;
                }
                WindowEvent::MouseButton(MouseButton::Button1, Action::Press, _) => {
                    goes_down = true;
                    self.pressed = mouse.and_then(|mouse| self.press(mouse, state));
                    event.inhibited = self.pressed.as_ref().is_some_and(|p| p.grip.is_some());
                }
                WindowEvent::MouseButton(MouseButton::Button1, Action::Release, _) => {
                    if let Some((pressed, mouse)) = self.pressed.take().zip(mouse) {
                        self.release(&pressed, mouse, state);
                    }
                }
                WindowEvent::CursorPos(x, y, _) => {
                    mouse = Some((x, y));
                    if let Some(grip) = self.pressed.as_ref().and_then(|p| p.grip) {
                        event.inhibited = true;
                        let ray = self.ray((x, y), state);
                        state.pull(grip, &ray);
                    }
                }
                _ => {}
            }
        }
        // The library asks whether the button is down now, not whether it was when the mouse
        // moved: the way to the place of a press would turn the view.
        self.camera
            .rebind_rotate_button((!goes_down).then_some(MouseButton::Button1));
        followed
    }

    /// A button that goes down, unless over the panel or anything else that lies over the
    /// picture.
    fn press(&self, mouse: (f64, f64), state: &ViewerState) -> Option<Pressed> {
        let at = self.in_points(mouse);
        if at.x < left_of_picture(state) || at.y < BAND_HEIGHT {
            return None;
        }
        let over = self.window.egui_context().layer_id_at(at);
        if over.is_some_and(|layer| layer.order != Order::Background) {
            return None;
        }
        let grip = self.handle_at(at, state);
        let item = || self.item_at(at, state).map(Grip::Item);
        // A thing aboard is chosen by a click and moved by a drag.
        let grip = grip.or_else(|| item().filter(|_| state.tool == Tool::Look));
        Some(Pressed { at, grip })
    }

    fn release(&self, pressed: &Pressed, mouse: (f64, f64), state: &mut ViewerState) {
        state.in_hand = false;
        state.let_go();
        let is_click = self.in_points(mouse).distance(pressed.at) < STILL;
        if is_click && !matches!(pressed.grip, Some(grip) if !matches!(grip, Grip::Item(_))) {
            let ray = self.ray(mouse, state);
            let item = self.item_at(pressed.at, state);
            state.click(&ray, item);
        }
    }

    fn in_points(&self, (x, y): (f64, f64)) -> Pos2 {
        let scale = self.window.scale_factor();
        #[expect(clippy::cast_possible_truncation, reason = "pixels")]
        pos2((x / scale) as f32, (y / scale) as f32)
    }

    /// The line of sight through a pixel, in the boat frame.
    fn ray(&self, mouse: (f64, f64), state: &ViewerState) -> Ray {
        let (width, height) = (self.window.width(), self.window.height());
        let size = glamx::Vec2::new(pixels(width), pixels(height));
        sight(&self.camera, size, mouse, &world(state))
    }

    fn handle_at(&self, at: Pos2, state: &ViewerState) -> Option<Grip> {
        let places = state.handles().into_iter();
        self.nearest(at, state, places.map(|handle| (handle.at_m, handle.grip)))
    }

    fn item_at(&self, at: Pos2, state: &ViewerState) -> Option<usize> {
        if !state.show.items || state.looks_back() {
            return None;
        }
        let items = state.aboard().items.iter().enumerate();
        let items = items.filter(|(_, item)| item.aboard);
        self.nearest(at, state, items.map(|(number, item)| (item.at_m, number)))
    }

    /// What lies nearest to a place in the picture, within reach of the mouse.
    fn nearest<T>(
        &self,
        at: Pos2,
        state: &ViewerState,
        places: impl Iterator<Item = (crate::numerics::Vec3, T)>,
    ) -> Option<T> {
        let world = world(state);
        let canvas = Canvas::of(&self.window, &self.camera);
        let found = places.filter_map(|(place, what)| {
            let off = canvas.at(&world.of_boat(&place))?.distance(at);
            (off < GRIP).then_some((off, what))
        });
        found
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, what)| what)
    }
}

fn world(state: &ViewerState) -> World {
    World::new(&state.readings().plane, &state.subject().boat.hull_box_m)
}

/// Where the picture begins, points.
fn left_of_picture(state: &ViewerState) -> f32 {
    if state.show.panel { PANEL_WIDTH } else { 0.0 }
}

/// What panel and band cover of the picture.
fn covered(window: &Window, state: &ViewerState) -> Covered {
    covered_by(window, left_of_picture(state))
}

/// The same of a panel so wide, points.
pub(super) fn covered_by(window: &Window, panel: f32) -> Covered {
    let share = |points: f32, pixels: u32| {
        let covered = f64::from(points) * window.scale_factor();
        (covered / f64::from(pixels.max(1))).min(0.6)
    };
    Covered {
        left: share(panel, window.width()),
        top: share(BAND_HEIGHT, window.height()),
    }
}

#[expect(clippy::cast_precision_loss, reason = "pixels")]
fn pixels(count: u32) -> f32 {
    count as f32
}

fn follow_key(key: Key, modifiers: Modifiers, state: &mut ViewerState) -> Option<View> {
    let with_control = modifiers.contains(Modifiers::Control);
    match key {
        Key::Z if with_control => state.undo(),
        Key::Y if with_control => state.redo(),
        Key::S if with_control => state.wants_saving = true,
        Key::H | Key::F1 => state.show.help = !state.show.help,
        Key::Escape if state.show.help => state.show.help = false,
        Key::Escape => state.take_up(Tool::Look),
        Key::Tab => state.show.panel = !state.show.panel,
        Key::B => state.look_back(!state.looks_back()),
        Key::Delete => {
            if let Some(chosen) = state.chosen.clone() {
                state.take_out(&chosen);
            }
        }
        Key::F => state.let_it_float(),
        Key::U => state.set_upright(),
        Key::W => state.show.water = !state.show.water,
        Key::I => state.show.items = !state.show.items,
        Key::L => state.show.labels = !state.show.labels,
        Key::G => state.show.before = state.show.before.next(),
        Key::X => state.show.see_through = !state.show.see_through,
        Key::Key1 => return Some(View::Quarter),
        Key::Key2 => return Some(View::Side),
        Key::Key3 => return Some(View::Top),
        Key::Key4 => return Some(View::Bow),
        Key::Key5 => return Some(View::Stern),
        Key::Key6 => return Some(View::Below),
        _ => {}
    }
    None
}
