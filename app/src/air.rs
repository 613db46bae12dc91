//! Air photos of the plan in the window: which files they are, how strongly they are drawn, and that they follow the plan and the map's frame.

use crate::command::{Act, Command};
use crate::fields::{Grip, named};
use crate::files::open_air_photo;
use crate::grids::path_of;
use crate::map::tiles::{Layer, Look, Source};
use crate::session::Session;
use crate::{card, tally};
use egui::{RichText, Slider, Ui};
use hillwire_core::job::Job;
use hillwire_core::land::{AirPhoto, Crs, Frame, Picture, Placement, Raster};
use hillwire_core::plan::{Edit, Gesture, Head, PictureLink, Plan};
use std::collections::{HashMap, HashSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A photo to be read, or to be placed on another map.
pub struct PhotoRequest {
    /// Its file.
    path: PathBuf,
    /// Its points, when they were read before.
    picture: Option<Arc<Picture>>,
    /// The map's frame; its own one without.
    frame: Option<Frame>,
    /// The coordinate system of the elevation grid.
    crs: Option<Crs>,
    /// What becomes of it.
    then: Then,
    /// How far it is, and whether it is still wanted.
    job: Arc<Job>,
}

/// What becomes of a photo that was read.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Then {
    /// It is one of the plan's: it is drawn.
    Draw,
    /// The plan takes it in: one that cannot be read stays outside.
    Add,
}

/// A photo that was read, and what the keeper should know about it.
pub struct ReadPhoto {
    path: PathBuf,
    photo: Arc<AirPhoto>,
    then: Then,
    notice: Option<String>,
}

impl PhotoRequest {
    /// Reads and places it.
    ///
    /// # Errors
    /// One sentence that names the file; an empty one when nobody wants it any more.
    pub fn read(self) -> Result<ReadPhoto, String> {
        let job = Arc::clone(&self.job);
        let read = self.read_it();
        job.set_share_done(1.0);
        if job.is_cancelled() { Err(String::new()) } else { read }
    }

    fn read_it(self) -> Result<ReadPhoto, String> {
        let path = self.path;
        let (picture, notice) = match self.picture {
            Some(picture) => (picture, None),
            None => {
                let read = open_air_photo(&path, self.crs.as_ref(), &self.job).map_err(|trouble| trouble.to_string())?;
                let notice = notice(&path, read.crs_guessed, read.reduced);
                (Arc::new(read.picture), notice)
            }
        };
        let raster = Raster { columns: picture.columns, rows: picture.rows, georeference: &picture.georeference };
        let frame = self.frame.map_or_else(|| Placement::frame_of(raster), Ok);
        let photo = frame.and_then(|frame| AirPhoto::new(Arc::clone(&picture), frame));
        let photo = photo.map_err(|trouble| format!("{}: {trouble}", path.display()))?;
        Ok(ReadPhoto { path, photo: Arc::new(photo), then: self.then, notice })
    }
}

fn notice(path: &Path, crs_guessed: bool, reduced: usize) -> Option<String> {
    let crs = crs_guessed.then(|| {
        let prj = path.with_extension("prj");
        format!(
            "nothing names its coordinate system, so that of the elevation grid was taken; a {} beside it would tell",
            prj.display()
        )
    });
    let size = (reduced > 1).then(|| format!("it is very large: {reduced} × {reduced} of its points are drawn as one"));
    let says: Vec<String> = crs.into_iter().chain(size).collect();
    (!says.is_empty()).then(|| format!("{}: {}.", path.display(), says.join("; ")))
}

/// The air photos that the window has.
#[derive(Default)]
pub struct AirView {
    known: HashMap<PathBuf, Arc<AirPhoto>>,
    /// The frame that each was last asked for.
    asked: HashMap<PathBuf, Option<Frame>>,
    /// Those that the plan takes in once they have proved to be usable.
    adding: HashSet<PathBuf>,
    /// Those that are being read.
    reading: HashMap<PathBuf, Arc<Job>>,
    /// Where those of the plan lie.
    paths: Vec<Option<PathBuf>>,
    /// Grows with every photo that comes.
    generation: u64,
}

impl Drop for AirView {
    fn drop(&mut self) {
        self.reading.values().for_each(|job| job.cancel());
    }
}

impl AirView {
    /// How much of the photo of this number has been read, 0 to 1, while it is.
    fn share_read(&self, index: usize) -> Option<f64> {
        let job = self.reading.get(self.paths.get(index)?.as_ref()?)?;
        Some(job.share_done()).filter(|share| *share < 1.0)
    }

    /// The photos as layers of the map, the first one lowest.
    pub fn shown(&self, plan: &Plan) -> Vec<Layer<'_>> {
        let links = self.paths.iter().zip(&plan.head.pictures).enumerate();
        let layer = |(index, (path, link)): (usize, (&Option<PathBuf>, &PictureLink))| {
            let photo = self.known.get(path.as_ref()?).filter(|_| link.strength > 0.0)?;
            Some(Layer {
                index,
                generation: self.generation,
                look: Look::Photo,
                placement: photo.placement(),
                source: Source::Photo(Arc::clone(photo)),
                opacity: link.strength as f32,
            })
        };
        links.filter_map(layer).collect()
    }
}

impl Session {
    /// Asks for photos that the plan names and that are not there yet, or lie on another map.
    pub(crate) fn follow_air(&mut self) {
        let links = &self.history.plan().head.pictures;
        if links.is_empty() && self.air.paths.is_empty() {
            return;
        }
        self.air.paths = links.iter().map(|link| path_of(&link.file, self.home.path.as_deref())).collect();
        self.forget_photos_not_wanted();
        let grid_is_coming = self.land.ground.is_none() && self.worker.opening().is_some();
        if grid_is_coming {
            return;
        }
        let frame = self.frame_for_photos();
        let wanted: Vec<PathBuf> = self.air.paths.iter().flatten().cloned().collect();
        for path in wanted {
            let known = self.air.known.get(&path);
            let lies_right = known.is_some_and(|photo| frame.is_none_or(|frame| photo.frame() == frame));
            if !lies_right && self.air.asked.get(&path) != Some(&frame) {
                self.air.asked.insert(path.clone(), frame);
                let picture = known.map(|photo| Arc::clone(photo.picture()));
                self.request_photo(path, picture, Then::Draw);
            }
        }
    }

    /// The frame of the map; `None` while nothing is drawn on it, so that it may be the photo's own.
    fn frame_for_photos(&self) -> Option<Frame> {
        let is_empty = self.plan().features.is_empty() && self.land.ground.is_none();
        (!is_empty).then_some(self.frame)
    }

    /// Reading a photo that was taken out of the plan again is given up.
    fn forget_photos_not_wanted(&mut self) {
        let AirView { reading, paths, adding, asked, .. } = &mut self.air;
        reading.retain(|path, job| {
            let is_wanted = paths.iter().flatten().any(|wanted| wanted == path) || adding.contains(path);
            if !is_wanted {
                job.cancel();
                asked.remove(path);
            }
            is_wanted && job.share_done() < 1.0
        });
    }

    fn request_photo(&mut self, path: PathBuf, picture: Option<Arc<Picture>>, then: Then) {
        let crs = self.land.ground.as_ref().map(|ground| ground.grid().georeference.crs.clone());
        let (frame, job) = (self.frame_for_photos(), Arc::new(Job::new()));
        self.air.reading.insert(path.clone(), Arc::clone(&job));
        if then == Then::Add {
            self.air.adding.insert(path.clone());
        }
        self.worker.request_photo(PhotoRequest { path, picture, frame, crs, then, job });
    }

    /// Takes a photo in.
    pub(crate) fn take_photo(&mut self, read: Result<ReadPhoto, String>) {
        match read {
            Ok(read) => {
                if self.frame_for_photos().is_none() {
                    self.frame = read.photo.frame();
                    self.fit_wanted = true;
                }
                self.notices.extend(read.notice);
                self.air.generation += 1;
                self.air.known.insert(read.path.clone(), read.photo);
                if read.then == Then::Add {
                    self.air.adding.remove(&read.path);
                    self.link_photo(&read.path);
                }
            }
            Err(trouble) if trouble.is_empty() => {}
            Err(trouble) => self.notices.push(trouble),
        }
    }

    /// Has an air photo read that shall lie under the plan.
    pub(crate) fn add_photo(&mut self, path: &Path) {
        let absolute = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
        if self.air.paths.iter().flatten().any(|known| std::path::absolute(known).is_ok_and(|known| known == absolute)) {
            self.notices.push(format!("{} lies under the plan already.", absolute.display()));
            return;
        }
        self.sheet = self.sheet.filter(|sheet| sheet.asks());
        self.request_photo(absolute, None, Then::Add);
    }

    fn link_photo(&mut self, path: &Path) {
        let mut head = Head::clone(&self.plan().head);
        head.pictures.push(PictureLink::from(path.to_string_lossy().as_ref()));
        if let Some(plan) = self.home.path.clone() {
            head = crate::files::links::with_paths_beside(&head, &plan);
        }
        self.change(Gesture::ChangedPictures, &[Edit::SetHead(Box::new(head))]);
    }

    /// The part of the map that the photos cover.
    pub(crate) fn photo_corners(&self) -> impl Iterator<Item = hillwire_core::land::MapPoint> {
        let photos = self.air.paths.iter().flatten().filter_map(|path| self.air.known.get(path));
        photos.flat_map(|photo| [photo.extent().min, photo.extent().max])
    }
}

/// The part of the card on the stage Land that lists the photos.
pub fn list(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    card::heading(ui, "Air photos");
    let pictures = &session.plan().head.pictures;
    if pictures.is_empty() {
        ui.label("None. A PNG or JPEG with its world file, or a GeoTIFF in colours, can lie under the plan.");
    }
    for (index, link) in pictures.iter().enumerate() {
        photo(ui, session, index, link, commands);
    }
    tally::act_button(ui, Act::AddPhoto, commands);
}

fn photo(ui: &mut Ui, session: &Session, index: usize, link: &PictureLink, commands: &mut Vec<Command>) {
    let name = Path::new(&link.file).file_name().map_or_else(|| link.file.clone(), |name| name.to_string_lossy().into_owned());
    let changed = |change: &dyn Fn(&mut Vec<PictureLink>)| {
        let mut head = Head::clone(&session.plan().head);
        change(&mut head.pictures);
        vec![Edit::SetHead(Box::new(head))]
    };
    ui.horizontal(|ui| {
        ui.add(egui::Label::new(RichText::new(&name).strong()).truncate());
        let button = ui.small_button("Take out").on_hover_text("No longer draw it; its file stays");
        named(&button, &format!("Take out {name}"));
        if button.clicked() {
            commands.push(Command::Change(Gesture::ChangedPictures, changed(&|pictures| drop(pictures.remove(index)))));
        }
    });
    if let Some(share) = session.air.share_read(index) {
        ui.label(RichText::new(format!("being read: {:.0} %", share * 100.0)).small().weak());
        ui.ctx().request_repaint_after(std::time::Duration::from_millis(250));
    }
    let mut percent = (link.strength * 100.0).round();
    let slider = ui.add(Slider::new(&mut percent, 0.0..=100.0).suffix(" %").step_by(1.0));
    let slider = slider.on_hover_text("How strongly it covers the shaded ground");
    named(&slider, &format!("Strength of {name}"));
    let edits = slider.changed().then(|| changed(&|pictures| pictures[index].strength = percent / 100.0));
    let mut grip = Grip::default();
    grip.watch(&slider);
    grip.ask(Gesture::ChangedPictures, edits, commands);
}
