//! Stretches of tracks that no vehicle goes along.

use super::draw::Canvas;
use crate::session::Session;

/// What is out of use of the tracks, and what no vehicle gets to because of it.
pub fn draw(canvas: &Canvas<'_>, session: &Session) {
    for track in &session.outcome.reach.tracks.judged {
        let stretches = [(&track.barred, canvas.inks.must_fix), (&track.behind, canvas.inks.look_at)];
        for (stretches, ink) in stretches {
            for stretch in stretches {
                canvas.line(canvas.points(stretch), 2.5, ink);
            }
        }
    }
}
