//! What is said about a line's posts and strands as a whole.

use super::findings::ordinal_strand;
use super::{cautions, gap, grid_trust, length, loads::listed, share};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::hold::{Sample, Section, Strain, TREE_BESIDE_M, TREE_POST, clearance_error_m};
use hillwire_core::land::Ground;
use hillwire_core::outcome::LineOutcome;
use hillwire_core::plan::UnitSystem;
use hillwire_core::units::Length;

/// How fine the cells of the ground are, and how rough from one to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cells {
    /// Side of a cell.
    pub cell: Length,
    /// Deviation of a cell from its neighbours, where it is known.
    pub scatter: Option<Length>,
    /// What is left of that under fences.
    pub left: Length,
    /// Over what width heights are smoothed under fences, where they scatter too far.
    pub smoothed_over: Option<Length>,
}

impl Cells {
    /// Of each grid of a ground, the finest first; looks at some hundred thousand cells.
    pub fn of(ground: &Ground) -> Vec<Self> {
        let of = |layer: &Ground| {
            let scatter = layer.scatter();
            Self { cell: layer.cell(), scatter: scatter.found(), left: scatter.left(), smoothed_over: scatter.smoothed_over() }
        };
        ground.layers().map(of).collect()
    }
}

/// The cells under a line, with the length that lies on each size; of the whole line where the ground has one grid only.
pub fn cells_under(section: &Section, ground: Option<&Ground>, cells: &[Cells]) -> Vec<(Cells, Length)> {
    let Some(ground) = ground else { return Vec::new() };
    let length_m = |from: &Sample, to: &Sample| to.station_m - from.station_m;
    let mut over_m = vec![0.0; cells.len()];
    if let [_] = cells {
        over_m[0] = section.samples.first().zip(section.samples.last()).map_or(0.0, |(first, last)| length_m(first, last));
    } else {
        for pair in section.samples.windows(2) {
            let middle = pair[0].at.towards(pair[1].at, 0.5);
            let used = ground.layer_at(middle).and_then(|used| ground.layers().position(|layer| std::ptr::eq(layer, used)));
            if let Some(over_m) = used.and_then(|layer| over_m.get_mut(layer)) {
                *over_m += length_m(&pair[0], &pair[1]);
            }
        }
    }
    let lengths = over_m.into_iter().map(Length::metres);
    cells.iter().copied().zip(lengths).filter(|(_, over)| *over > Length::ZERO).collect()
}

/// What a tree does for a line that passes it.
pub fn tree(catalogue: &Catalogue, units: UnitSystem) -> String {
    let thick = catalogue
        .post(TREE_POST)
        .map_or(String::new(), |row| format!(" and its trunk is {} thick at least", gap(row.width, units)));
    let beside = gap(Length::metres(TREE_BESIDE_M), units);
    format!("Where a line passes within {beside} of it{thick}, its strands hang on it and no post is planned there.")
}

fn trees(line: &LineOutcome) -> Option<String> {
    let count = line.hold.posts.iter().filter(|post| post.post == TREE_POST).count();
    let carry = match count {
        0 => return None,
        1 => "One living tree carries".to_owned(),
        several => format!("{several} living trees carry"),
    };
    Some(format!("{carry} strands. {}", cautions::TREE))
}

/// Which strand decides, what even spacing would leave, where strainers go, and how far the grid is to be believed.
pub fn section_notes(line: &LineOutcome, cells: &[(Cells, Length)], units: UnitSystem) -> Vec<String> {
    let hold = &line.hold;
    let tightest = hold.tightest.map(|(dips, rises)| tightest_strand(dips, rises));
    let even = hold.even.map(|even| {
        let way = if even.worst_off > Length::ZERO { "too high" } else { "too low" };
        if even.out_of_band > Length::ZERO {
            format!(
                "Posts at even bays would be {}, and leave the strands out of their band over {}, by as much as {} {way} at {}.",
                even.posts,
                length(even.out_of_band, units),
                gap(even.worst_off.abs(), units),
                length(even.worst_at, units)
            )
        } else {
            format!("Posts at even bays would be {}, and keep every strand in its band.", even.posts)
        }
    });
    let strainers = (!hold.strains.is_empty()).then(|| {
        let at: Vec<String> = hold.strains.iter().map(|strain| length(strain.strainer, units)).collect();
        let least = hold.strains.iter().map(|strain| strain.slackest_share).fold(1.0, f64::min);
        format!("Strainers at {}: friction leaves {} of the tension at the slackest bay.", at.join(", "), share(least))
    });
    let springs = springs(&hold.strains, units);
    let walk = on_walk(line);
    tightest
        .into_iter()
        .chain(even)
        .chain(strainers)
        .chain(springs)
        .chain(trees(line))
        .chain(trust(cells, units))
        .chain(walk)
        .collect()
}

/// Which strains have springs in their strands; nothing where none has.
fn springs(strains: &[Strain], units: UnitSystem) -> Option<String> {
    let sprung: Vec<&Strain> = strains.iter().filter(|strain| strain.springs > 0).collect();
    let at: Vec<String> =
        sprung.iter().map(|strain| format!("{} to {}", length(strain.from, units), length(strain.to, units))).collect();
    match sprung.len() {
        0 => None,
        all if all == strains.len() => Some("Springs in every strand of every strain.".to_owned()),
        _ => Some(format!("Springs in every strand from {}.", listed(&at))),
    }
}

/// What the first walk with the string is to be expected to ask for.
pub fn on_walk(line: &LineOutcome) -> Option<String> {
    let pegs = pegs_on_walk(line)?;
    let pegs = if pegs == 1 { "1 peg".to_owned() } else { format!("{pegs} pegs") };
    Some(format!(
        "Small hollows and humps that the grid does not tell from its own scatter: {pegs} in the order, their places found on the first walk \
         with the string."
    ))
}

/// How many pegs are ordered for that; `None` where none are.
pub fn pegs_on_walk(line: &LineOutcome) -> Option<usize> {
    let pegs = line.hold.on_walk.as_ref()?.pegs.round() as usize;
    (pegs > 0).then_some(pegs)
}

fn tightest_strand(dips: usize, rises: usize) -> String {
    if dips == rises {
        format!("Where posts go is decided by {}.", ordinal_strand(dips))
    } else {
        format!("Where posts go is decided by {} over dips and by {} over rises.", ordinal_strand(dips), ordinal_strand(rises))
    }
}

/// How far the ground under a line is to be believed, by what it lies on.
fn trust(cells: &[(Cells, Length)], units: UnitSystem) -> Vec<String> {
    match cells {
        [] => vec!["No elevation grid under it: nothing is known about dips and rises.".to_owned()],
        [(cells, _)] => vec![trust_in(*cells, units)],
        several => {
            several.iter().map(|(cells, over)| format!("Over {}: {}", length(*over, units), trust_in(*cells, units))).collect()
        }
    }
}

/// `Cells of 1.0 m whose heights scatter by 8 cm: smoothed over 2.4 m for posts and gaps, a gap may still be off by 7 cm. Cells this small ...`
pub fn trust_in(Cells { cell, scatter, left, smoothed_over }: Cells, units: UnitSystem) -> String {
    let Some(scatter) = scatter.filter(|_| cell.as_metres() <= TELLS_HOLLOWS_M) else {
        return format!("Cells of {}. {}", length(cell, units), grid_trust(cell.as_metres()));
    };
    let off = gap(Length::metres(clearance_error_m(left.as_metres())), units);
    let then = match smoothed_over {
        Some(over) => format!("smoothed over {} for posts and gaps, a gap may still be off by {off}", length(over, units)),
        None => format!("a gap may be off by {off}"),
    };
    format!(
        "Cells of {} whose heights scatter by {}: {then}. {}",
        length(cell, units),
        gap(scatter, units),
        grid_trust(cell.as_metres())
    )
}

/// On wider cells what neighbours differ by is the ground itself.
const TELLS_HOLLOWS_M: f64 = 2.5;
