//! The window.
use std::time::Duration;

use kiss3d::camera::OrbitCamera3d;
use kiss3d::event::{Action, Key, Modifiers, MouseButton, WindowEvent};
use kiss3d::glamx;
use kiss3d::pollster;
use kiss3d::window::{NumSamples, Window};

use super::camera::{Fitted, camera_for, sight};
use super::grip::along_the_hull;
use super::marks::title;
use super::overlay::{Canvas, overlay};
use super::panel::{PANEL_WIDTH, SaveAs, panel};
use super::picture::set_up;
use super::scene::Scene;
use super::state::ViewerState;
use super::view::View;
use super::vulkan::{NoGraphics, draws_by_software, free_what_was_drawn, require_graphics};
use super::world::World;

const SIZE: (u32, u32) = (1400, 900);
/// Frames drawn after the last input: the panel unfolds and fades meanwhile.
const FRAMES_TO_SETTLE: u32 = 12;
/// How long to rest before the next look for input.
const REST_BETWEEN_LOOKS: Duration = Duration::from_millis(15);
/// How near to an item's middle the mouse takes hold of it, points.
const GRIP: f32 = 14.0;

/// Opens a window on the state and runs it until it is closed. On the main
/// thread only.
///
/// # Errors
/// [`NoGraphics`] where nothing can be drawn.
pub fn run_window(state: &mut ViewerState, view: View, save: SaveAs<'_>) -> Result<(), NoGraphics> {
    require_graphics(true)?;
    let mut shown_title = title(state);
    pollster::block_on(async {
        let mut window = Window::new_with_size(&shown_title, SIZE.0, SIZE.1).await;
        // Escape closes what is open in the panel, not the window.
        window.rebind_close_key(None);
        set_up(&mut window);
        if draws_by_software() {
            window.set_samples(NumSamples::One);
        }
        let mut scene = Scene::new(state);
        let mut last_view = view;
        let mut before = state.before();
        let Fitted {
            mut camera,
            mut layout,
        } = fitted(view, &window, state);
        let mut gripped: Option<usize> = None;
        let mut quiet_frames = 0;
        loop {
            window.canvas_mut().poll_events();
            let followed = follow_events(&mut window, &camera, state, &mut gripped);
            let mut asked = followed.asked;
            // Nothing moves by itself: a picture that stays is not drawn again.
            if followed.any || state.is_busy() {
                quiet_frames = 0;
            } else if quiet_frames >= FRAMES_TO_SETTLE {
                std::thread::sleep(REST_BETWEEN_LOOKS);
                continue;
            }
            quiet_frames += 1;
            state.in_hand = gripped.is_some();
            state.poll();
            window.draw_ui(|ctx| asked = panel(ctx, state, save).or(asked));
            // Two boats side by side need another picture than one.
            if asked.is_some() || before != state.before() {
                before = state.before();
                last_view = asked.unwrap_or(last_view);
                Fitted { camera, layout } = fitted(last_view, &window, state);
            }
            let now = title(state);
            if now != shown_title {
                window.set_title(&now);
                shown_title = now;
            }
            scene.update(state);
            scene.lay_beside(state, &camera, layout);
            scene.hand_lines(&mut window, state);
            let mut canvas = Canvas::of(&window, &camera);
            canvas.left = PANEL_WIDTH;
            canvas.before_m = scene.shift_m();
            window.draw_ui(|ctx| overlay(ctx, state, &canvas, scene.shades()));
            if !window.render_3d(&mut scene.root, &mut camera).await {
                break;
            }
            free_what_was_drawn();
        }
    });
    Ok(())
}

fn fitted(view: View, window: &Window, state: &ViewerState) -> Fitted {
    let panel = f64::from(PANEL_WIDTH) * window.scale_factor();
    let covered = (panel / f64::from(window.width().max(1))).min(0.6);
    camera_for(view, window, state, covered)
}

/// What came in since the last look.
struct Followed {
    /// A view that was asked for.
    asked: Option<View>,
    /// Whether anything came at all.
    any: bool,
}

/// Keys, and items dragged.
fn follow_events(
    window: &mut Window,
    camera: &OrbitCamera3d,
    state: &mut ViewerState,
    gripped: &mut Option<usize>,
) -> Followed {
    // A slider that was moved keeps the focus; only a text being typed wants keys.
    let keys_are_free = !window.egui_context().text_edit_focused();
    // What the panel made of the mouse is a frame old: only the help sheet, which
    // lies over the picture, is left to it.
    let over_help = state.show.help && window.is_egui_capturing_mouse();
    let mut mouse = window.cursor_pos();
    let mut asked = None;
    let mut any = false;
    let size = glamx::Vec2::new(pixels(window.width()), pixels(window.height()));
    let mut events = window.events();
    for mut event in events.iter() {
        any = true;
        match event.value {
            WindowEvent::Key(key, Action::Press, modifiers) if keys_are_free => {
                asked = follow_key(key, modifiers, state).or(asked);
            }
            WindowEvent::MouseButton(MouseButton::Button1, Action::Press, _)
                if state.show.items && !over_help =>
            {
                *gripped = mouse.and_then(|mouse| item_at(mouse, window, camera, state));
                event.inhibited = gripped.is_some();
            }
            WindowEvent::MouseButton(MouseButton::Button1, Action::Release, _)
                if gripped.take().is_some() =>
            {
                state.let_go();
            }
            WindowEvent::CursorPos(x, y, _) => {
                mouse = Some((x, y));
                if let Some(item) = *gripped {
                    event.inhibited = true;
                    drag(camera, state, item, (x, y), size);
                }
            }
            _ => {}
        }
    }
    Followed { asked, any }
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
        Key::H | Key::F1 => state.show.help = !state.show.help,
        Key::Escape => state.show.help = false,
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

/// The item under the mouse, which is beside the panel.
fn item_at(
    (x, y): (f64, f64),
    window: &Window,
    camera: &OrbitCamera3d,
    state: &ViewerState,
) -> Option<usize> {
    let scale = window.scale_factor();
    #[expect(clippy::cast_possible_truncation, reason = "pixels")]
    let mouse = kiss3d::egui::pos2((x / scale) as f32, (y / scale) as f32);
    if mouse.x < PANEL_WIDTH {
        return None;
    }
    let boat = &state.subject().boat;
    let world = World::new(&state.readings().plane, &boat.hull_box_m);
    let canvas = Canvas::of(window, camera);
    let items = state.aboard().items.iter().enumerate();
    items
        .filter(|(_, item)| item.aboard)
        .filter_map(|(index, item)| {
            let at = canvas.at(&world.of_boat(&item.at_m))?;
            Some((at.distance(mouse), index))
        })
        .filter(|(distance, _)| *distance < GRIP)
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, index)| index)
}

fn drag(
    camera: &OrbitCamera3d,
    state: &mut ViewerState,
    item: usize,
    mouse: (f64, f64),
    size: glamx::Vec2,
) {
    let hull_box = state.subject().boat.hull_box_m;
    let world = World::new(&state.readings().plane, &hull_box);
    let ray = sight(camera, size, mouse, &world);
    state.change(|edits, _| {
        let place = edits
            .items
            .get(item)
            .and_then(|edit| along_the_hull(&ray, &edit.at_m, &hull_box));
        if let Some(place) = place {
            edits.move_item(item, &place);
        }
    });
}
