//! Driving the window by accessible labels and map points, without a display.

pub mod farm;
pub mod rounds;

use egui::{Event, Key, Modifiers, PointerButton, Pos2, Vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use egui_kittest::{Harness, Node};
use hillwire::app::Window;
use hillwire::theme;
use hillwire::worker::Pace;
use hillwire_core::land::MapPoint;
use std::path::{Path, PathBuf};

/// A window under test; it exists from the first frame on.
pub type Screen = Harness<'static, Option<Window>>;

/// The folder of the sample maps.
pub fn samples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-maps")
}

/// An empty window of the size it is made for.
pub fn screen() -> Screen {
    screen_keeping(None)
}

/// The same, with a folder for journals: without one it keeps none.
pub fn screen_keeping(folder: Option<PathBuf>) -> Screen {
    let mut screen = Harness::builder()
        .with_size(Vec2::new(1280.0, 800.0))
        .with_theme(egui::Theme::Light)
        .with_max_steps(40)
        .with_context_setup(theme::install)
        .build_ui_state(
            move |ui, window: &mut Option<Window>| {
                let ctx = ui.ctx().clone();
                let made = || Window::keeping_in(folder.clone(), &ctx, Pace::AtOnce, Vec::new());
                window.get_or_insert_with(made).show(ui);
            },
            None,
        );
    screen.run_steps(3);
    screen
}

/// A window with a file opened.
pub fn screen_with(path: &Path) -> Screen {
    let mut screen = screen();
    let ctx = screen.ctx.clone();
    window(&mut screen).open(path.to_owned(), &ctx);
    screen.run_steps(6);
    screen
}

/// A window with the sample plan of Brackenhope.
pub fn sample_screen() -> Screen {
    screen_with(&samples().join("brackenhope.plan.geojson"))
}

/// The window itself.
pub fn window(screen: &mut Screen) -> &mut Window {
    screen.state_mut().as_mut().expect("the first frame has been drawn")
}

/// Where a map point stands on the screen.
pub fn at_screen(screen: &mut Screen, x_m: f64, y_m: f64) -> Pos2 {
    let session = &window(screen).session;
    session.view.at_screen(session.pane, MapPoint::new(x_m, y_m))
}

/// Moves the pointer to a place and clicks there.
pub fn click(screen: &mut Screen, at: Pos2) {
    screen.hover_at(at);
    screen.step();
    for pressed in [true, false] {
        screen.event(Event::PointerButton { pos: at, button: PointerButton::Primary, pressed, modifiers: Modifiers::NONE });
        screen.step();
    }
    // Two clicks in quick succession would be a double click.
    screen.run_steps(4);
}

/// Drags from one place to another.
pub fn drag(screen: &mut Screen, from: Pos2, to: Pos2) {
    screen.hover_at(from);
    screen.step();
    screen.drag_at(from);
    screen.step();
    for share in [0.2, 0.5, 0.8, 1.0] {
        screen.hover_at(from.lerp(to, share));
        screen.step();
    }
    screen.drop_at(to);
    screen.run_steps(3);
}

/// Presses a key.
pub fn press(screen: &mut Screen, key: Key) {
    screen.key_press(key);
    screen.run_steps(3);
}

/// Presses a key with Ctrl (Cmd).
pub fn press_with_command(screen: &mut Screen, key: Key) {
    screen.key_press_modifiers(Modifiers::COMMAND, key);
    screen.run_steps(3);
}

/// Types text as a keyboard would.
pub fn type_text(screen: &mut Screen, text: &str) {
    for letter in text.chars() {
        screen.event(Event::Text(letter.to_string()));
        screen.step();
    }
}

/// The field, box or button with this name, not the label in front of it.
pub fn field<'a>(screen: &'a Screen, name: &'a str) -> Node<'a> {
    let is_field = |node: &Node<'_>| node.accesskit_node().role() != egui::accesskit::Role::Label;
    screen.query_all_by_label(name).find(is_field).unwrap_or_else(|| panic!("no field is called {name}"))
}

/// Types a value into the field with this name and leaves it.
pub fn fill(screen: &mut Screen, name: &str, value: &str) {
    field(screen, name).click();
    screen.run_steps(3);
    press_with_command(screen, Key::A);
    type_text(screen, value);
    press(screen, Key::Enter);
    screen.run_steps(3);
}

/// Clicks the field, box or button with this name.
pub fn click_on(screen: &mut Screen, name: &str) {
    field(screen, name).click();
    screen.run_steps(4);
}

/// What an undo would take back, as the window says it.
pub fn undone_next(screen: &mut Screen) -> String {
    window(screen).session.history.next_undo().map(hillwire::words::gesture).unwrap_or_default()
}
