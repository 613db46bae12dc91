//! Pigs too near a stream: what they root up and leave behind runs into it.

use super::behind::line_animals;
use super::lay::stretches_told;
use super::{Checked, CheckedLine};
use crate::finding::{Finding, Lay, LayRemedy, Reason, Remedy, Rule, Unit, Weight};
use crate::hold::along::Piece;
use crate::site::NearChannel;
use crate::source::SourceKey;
use crate::units::Length;

/// Pigs stay this far from a stream.
///
/// # Source
/// Key `stream-buffers`.
pub const BUFFER: Length = Length::metres(10.0);

/// And this far where the ground falls steeply to it.
///
/// # Source
/// Key `stream-buffers`.
pub const STEEP_BUFFER: Length = Length::metres(20.0);

/// From this slope on, per cent.
///
/// # Source
/// Key `stream-buffers`.
pub const STEEP_PCT: f64 = 15.0;

/// A piece of fence too near a stream.
struct Near {
    channel: NearChannel,
    slope_pct: f64,
    buffer: Length,
}

/// Stretches of a pig fence too near a stream or a channel. Rules for water differ from country to country and outrank this.
pub fn check(checked: &Checked, line: &CheckedLine) -> Vec<Finding> {
    if !line_animals(checked, line.feature).any(|animal| animal.species == "pig") {
        return Vec::new();
    }
    let near = stretches_told(checked, line, |piece| near(checked, piece));
    let finding = |told: &super::lay::Told<Near>| {
        let (piece, near) = told.least(|near| near.channel.away.as_metres());
        Finding {
            rule: Rule::StreamBuffer,
            // A channel that only the grid shows may be dry all year.
            weight: if near.channel.stream.is_some() { Weight::LookAt } else { Weight::Note },
            place: told.place(checked, line, piece),
            value: near.channel.away.as_metres(),
            limit: Some(near.buffer.as_metres()),
            unit: Unit::Metre,
            reason: Reason::Lay(Lay::NearStream { stream: near.channel.stream.clone(), slope_pct: near.slope_pct }),
            remedies: vec![Remedy::Lay(LayRemedy::KeepAway { by: near.buffer }), Remedy::Lay(LayRemedy::AskWaterRules)],
            source: SourceKey::new("stream-buffers"),
        }
    };
    near.iter().map(finding).collect()
}

fn near(checked: &Checked, piece: &Piece) -> Option<Near> {
    let water = checked.water?;
    let nearest = [piece.from.at, piece.middle(), piece.to.at].into_iter().filter_map(|at| water.nearest_channel(at));
    let channel = nearest.min_by(|one, other| one.away.as_metres().total_cmp(&other.away.as_metres()))?;
    let slope_pct = checked.smooth_ground?.gradient(piece.middle())?.slope_pct();
    let buffer = if slope_pct > STEEP_PCT { STEEP_BUFFER } else { BUFFER };
    (channel.away < buffer).then_some(Near { channel, slope_pct, buffer })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::fixture::{Scene, ground};
    use crate::plan::{Kind, Paddock, StockGroup};

    #[test]
    fn pigs_keep_their_distance_from_a_stream_and_twice_as_much_on_a_slope() {
        let said = |species: &str, slope: f64, away_m: f64| -> Vec<Weight> {
            let (near, far) = (away_m, away_m + 60.0);
            let square = [(-40.0, far), (-40.0, near), (40.0, near), (40.0, far), (-40.0, far)];
            let group = StockGroup { id: "g".to_owned(), species: species.to_owned(), head: 3, ..StockGroup::default() };
            let paddock = Kind::Paddock(Paddock { stock: Some("g".to_owned()), ..Paddock::default() });
            let stream = Kind::Stream { width: None, seasonal: false, culvert: false };
            // An even slope to the north: the grid shows no channel of its own near the stream.
            let scene = Scene::on(ground(300, 1.0, move |_, north| 100.0 + slope * north));
            let scene = scene.line(stream, &[(-140.0, 0.0), (140.0, 0.0)]).fence(&square).point(paddock, (0.0, away_m + 20.0));
            scene.keeping(&[group], None).say(Rule::StreamBuffer).into_iter().map(|finding| finding.weight).collect()
        };
        assert_eq!(said("pig", 0.05, 8.0), [Weight::LookAt]);
        assert_eq!(said("pig", 0.05, 12.0), []);
        assert_eq!(said("pig", 0.25, 12.0), [Weight::LookAt]);
        assert_eq!(said("sheep", 0.25, 8.0), []);
    }
}
