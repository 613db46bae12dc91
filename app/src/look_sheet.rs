//! The sheet that shows what would be printed, before it is saved.

use crate::command::Command;
use crate::session::Session;
use crate::share_view::ShareAsk;
use crate::sheets::sheet;
use crate::words;
use egui::{Image, TextureOptions, Ui, vec2};

/// Draws it.
pub fn show(ui: &Ui, session: &Session, commands: &mut Vec<Command>) {
    let view = &session.share_view;
    let Some(look) = view.looks.get(view.turned_to) else { return commands.push(Command::CloseSheet) };
    let open = sheet(ui, "As it would be printed", |ui| {
        let room = ui.ctx().content_rect().size() - vec2(120.0, 190.0);
        let factor = (room.x / look.width as f32).min(room.y / look.height as f32).min(1.0);
        let size = vec2(look.width as f32, look.height as f32) * factor;
        // Told apart by the address of their points: another look is another texture.
        let name = format!("look {:p}", std::sync::Arc::as_ptr(look));
        let id = egui::Id::unique("look that is shown");
        let kept = ui.data(|memory| memory.get_temp::<(String, egui::TextureHandle)>(id)).filter(|(of, _)| *of == name);
        let texture = kept.map(|(_, texture)| texture).unwrap_or_else(|| {
            let picture = egui::ColorImage::from_rgba_unmultiplied([look.width, look.height], &look.rgba);
            let texture = ui.ctx().load_texture(&name, picture, TextureOptions::LINEAR);
            ui.data_mut(|memory| memory.insert_temp(id, (name.clone(), texture.clone())));
            texture
        });
        let stroke = ui.visuals().widgets.noninteractive.bg_stroke;
        ui.vertical_centered(|ui| {
            let shown = ui.add(Image::new((texture.id(), size)));
            crate::fields::named(&shown, "Printed sheet");
            ui.painter().rect_stroke(shown.rect, 0.0, stroke, egui::StrokeKind::Outside);
        });
        ui.add_space(6.0);
        foot(ui, session, commands);
    });
    if !open {
        commands.push(Command::CloseSheet);
    }
}

fn foot(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let view = &session.share_view;
    let (at, all) = (view.turned_to, view.looks.len());
    ui.horizontal(|ui| {
        if ui.add_enabled(at > 0, egui::Button::new("Sheet before")).clicked() {
            commands.push(Command::Share(ShareAsk::TurnTo(at - 1)));
        }
        ui.label(format!("sheet {} of {all}", at + 1));
        if ui.add_enabled(at + 1 < all, egui::Button::new("Next sheet")).clicked() {
            commands.push(Command::Share(ShareAsk::TurnTo(at + 1)));
        }
        ui.separator();
        if ui.button("Save as PDF…").clicked() {
            commands.push(Command::ShareAs("pdf"));
            commands.push(Command::CloseSheet);
        }
        if ui.button("Close").clicked() {
            commands.push(Command::CloseSheet);
        }
        ui.label(format!("For {}", words::recipient(view.to.audience.recipient)));
    });
}
