//! Colours, fonts and spacing: ink on paper, with the colour-blind-safe palette of Okabe and Ito (2008) for what must be told apart.

use egui::{Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Stroke, TextStyle, Theme, Visuals};
use std::sync::Arc;

/// Okabe and Ito, "Color Universal Design" (2008).
pub mod palette {
    use egui::Color32;
    /// Orange.
    pub const ORANGE: Color32 = Color32::from_rgb(230, 159, 0);
    /// Sky blue.
    pub const SKY: Color32 = Color32::from_rgb(86, 180, 233);
    /// Bluish green.
    pub const GREEN: Color32 = Color32::from_rgb(0, 158, 115);
    /// Yellow.
    pub const YELLOW: Color32 = Color32::from_rgb(240, 228, 66);
    /// Blue.
    pub const BLUE: Color32 = Color32::from_rgb(0, 114, 178);
    /// Vermilion.
    pub const VERMILION: Color32 = Color32::from_rgb(213, 94, 0);
    /// Reddish purple.
    pub const PURPLE: Color32 = Color32::from_rgb(204, 121, 167);
}

/// The colours that drawing needs besides egui's own.
#[derive(Clone, Copy)]
pub struct Inks {
    /// Where there is no ground.
    pub paper: Color32,
    /// Lines and text on the map.
    pub ink: Color32,
    /// Lines and text of less weight.
    pub faint_ink: Color32,
    /// Behind lines and text so that they stand off the ground.
    pub halo: Color32,
    /// A fence.
    pub fence: Color32,
    /// The insulated run to the fence.
    pub lead_out: Color32,
    /// Tracks.
    pub track: Color32,
    /// Water.
    pub water: Color32,
    /// Public ways.
    pub public_way: Color32,
    /// Boundary of the holding.
    pub boundary: Color32,
    /// What is selected.
    pub chosen: Color32,
    /// Must fix.
    pub must_fix: Color32,
    /// Look at.
    pub look_at: Color32,
    /// Note.
    pub note: Color32,
    /// All is well.
    pub good: Color32,
}

const LIGHT: Inks = Inks {
    paper: Color32::from_rgb(244, 239, 228),
    ink: Color32::from_rgb(38, 34, 28),
    faint_ink: Color32::from_rgb(112, 103, 90),
    halo: Color32::from_rgba_premultiplied(225, 221, 210, 225),
    fence: palette::BLUE,
    lead_out: Color32::from_rgb(98, 52, 84),
    track: Color32::from_rgb(122, 92, 58),
    water: Color32::from_rgb(44, 120, 168),
    public_way: Color32::from_rgb(0, 116, 86),
    boundary: Color32::from_rgb(150, 84, 120),
    chosen: palette::ORANGE,
    must_fix: Color32::from_rgb(196, 72, 0),
    look_at: Color32::from_rgb(176, 118, 0),
    note: palette::BLUE,
    good: Color32::from_rgb(0, 122, 90),
};

const DARK: Inks = Inks {
    paper: Color32::from_rgb(33, 33, 30),
    ink: Color32::from_rgb(238, 233, 222),
    faint_ink: Color32::from_rgb(170, 163, 150),
    halo: Color32::from_rgba_premultiplied(24, 23, 20, 215),
    fence: palette::SKY,
    lead_out: palette::PURPLE,
    track: Color32::from_rgb(206, 170, 124),
    water: Color32::from_rgb(108, 176, 222),
    public_way: Color32::from_rgb(64, 196, 156),
    boundary: Color32::from_rgb(214, 150, 188),
    chosen: palette::ORANGE,
    must_fix: Color32::from_rgb(244, 124, 48),
    look_at: palette::ORANGE,
    note: palette::SKY,
    good: Color32::from_rgb(64, 196, 156),
};

/// The inks for what the window now shows: light or dark.
pub fn inks(ui: &egui::Ui) -> Inks {
    if ui.visuals().dark_mode { DARK } else { LIGHT }
}

/// The name of the bold font family.
fn bold_family() -> FontFamily {
    FontFamily::Name("bold".into())
}

/// Bold text at this size.
pub fn bold(size: f32) -> FontId {
    FontId::new(size, bold_family())
}

/// Fonts, spacing and colours for both themes. Called once per window.
pub fn install(ctx: &egui::Context) {
    ctx.set_fonts(fonts());
    ctx.all_styles_mut(|style| {
        style.text_styles = [
            (TextStyle::Heading, bold(17.0)),
            (TextStyle::Body, FontId::proportional(14.0)),
            (TextStyle::Button, FontId::proportional(14.0)),
            (TextStyle::Small, FontId::proportional(12.0)),
            (TextStyle::Monospace, FontId::monospace(13.0)),
        ]
        .into();
        style.spacing.item_spacing = egui::vec2(8.0, 6.0);
        style.spacing.button_padding = egui::vec2(9.0, 4.0);
        style.spacing.interact_size.y = 26.0;
        style.interaction.tooltip_delay = 0.35;
    });
    // Paper first: the keeper may change over.
    ctx.set_theme(Theme::Light);
    ctx.set_visuals_of(Theme::Light, visuals(Visuals::light(), &LIGHT, 244));
    ctx.set_visuals_of(Theme::Dark, visuals(Visuals::dark(), &DARK, 42));
}

fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::default();
    let regular = FontData::from_static(include_bytes!("../../assets/fonts/Lato-Regular.ttf"));
    let bold = FontData::from_static(include_bytes!("../../assets/fonts/Lato-Bold.ttf"));
    fonts.font_data.insert("lato".to_owned(), Arc::new(regular));
    fonts.font_data.insert("lato-bold".to_owned(), Arc::new(bold));
    let fallback = fonts.families.entry(FontFamily::Proportional).or_default();
    fallback.insert(0, "lato".to_owned());
    let mut bold_list = fallback.clone();
    bold_list.insert(0, "lato-bold".to_owned());
    fonts.families.insert(bold_family(), bold_list);
    fonts
}

fn visuals(mut visuals: Visuals, inks: &Inks, panel: u8) -> Visuals {
    let warm = |grey: u8| Color32::from_rgb(grey, grey.saturating_sub(3), grey.saturating_sub(11));
    visuals.panel_fill = warm(panel);
    visuals.window_fill = warm(if visuals.dark_mode { panel + 6 } else { 250 });
    visuals.extreme_bg_color = warm(if visuals.dark_mode { 24 } else { 253 });
    visuals.faint_bg_color = warm(if visuals.dark_mode { panel + 8 } else { panel - 7 });
    visuals.override_text_color = Some(inks.ink);
    visuals.hyperlink_color = inks.note;
    visuals.selection.bg_fill = inks.chosen.gamma_multiply(if visuals.dark_mode { 0.45 } else { 0.38 });
    visuals.selection.stroke = Stroke::new(1.0, inks.ink);
    visuals.window_corner_radius = CornerRadius::same(7);
    let radius = CornerRadius::same(4);
    let widgets = &mut visuals.widgets;
    for widget in
        [&mut widgets.noninteractive, &mut widgets.inactive, &mut widgets.hovered, &mut widgets.active, &mut widgets.open]
    {
        widget.corner_radius = radius;
    }
    let lift = |step: i16| warm((i16::from(panel) + if visuals.dark_mode { step } else { -step }).clamp(0, 255) as u8);
    widgets.noninteractive.bg_stroke = Stroke::new(1.0, lift(26));
    widgets.inactive.weak_bg_fill = lift(13);
    widgets.inactive.bg_fill = lift(38);
    widgets.hovered.weak_bg_fill = lift(24);
    widgets.hovered.bg_stroke = Stroke::new(1.0, inks.faint_ink);
    widgets.active.weak_bg_fill = lift(36);
    widgets.open.weak_bg_fill = lift(20);
    visuals
}
