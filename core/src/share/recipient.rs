//! Who gets a file, and what each may see: one table.

/// Who gets it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Recipient {
    /// Whoever made the plan.
    #[default]
    Keeper,
    /// Whoever lives beside it.
    Neighbour,
    /// Whoever sells what it takes.
    Supplier,
    /// Whoever builds it.
    Contractor,
    /// Whoever goes round it.
    Round,
}

/// A part of what a plan knows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Part {
    /// Lines, gates, and where it is switched off: the energizer and the switches.
    Fence,
    /// Earth rods, water, shelter and feeding places: what whoever works there has to find, and nobody else.
    Works,
    /// What the keeper calls things inside the plan.
    Ids,
    /// Paddocks.
    Paddocks,
    /// Tracks, ways, streams, boundary, buildings, zones.
    Surroundings,
    /// Posts, each with what it is.
    Posts,
    /// Builds: wires, tension.
    Builds,
    /// What the checker has to say.
    Findings,
    /// What the keeper wrote to things.
    Notes,
    /// What the keeper marked, and the names of zones, trees and measured heights.
    Marks,
    /// Readings and faults.
    Log,
    /// Animals.
    Stock,
    /// What is to be bought.
    Order,
    /// What it costs.
    Prices,
    /// What is in the shed.
    Shed,
    /// Hours of work.
    Work,
}

impl Recipient {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Keeper, Self::Neighbour, Self::Supplier, Self::Contractor, Self::Round];

    /// The word on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Self::Keeper => "keeper",
            Self::Neighbour => "neighbour",
            Self::Supplier => "supplier",
            Self::Contractor => "contractor",
            Self::Round => "round",
        }
    }

    /// Whether somebody may see a part unless the keeper chooses otherwise.
    fn sees(self, part: Part) -> bool {
        let column = Self::ALL.iter().position(|one| *one == self);
        let row = SEES.iter().find(|(one, _)| *one == part);
        column.zip(row).is_some_and(|(column, (_, sees))| sees[column] == Y)
    }

    /// What may be shown to somebody on top, if the keeper chooses to: what a file for them has room for.
    pub fn may_see(self) -> impl Iterator<Item = Part> {
        let has_room = move |part: &Part| self.sees(if *part == Part::Prices { Part::Order } else { Part::Fence });
        EXTRAS.into_iter().filter(has_room).filter(move |part| !self.sees(*part))
    }
}

/// What can be shown on top of what a recipient usually sees.
pub const EXTRAS: [Part; 5] = [Part::Findings, Part::Notes, Part::Marks, Part::Log, Part::Prices];

/// Somebody who gets a file, and what is shown to them on top of the usual.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Audience {
    /// Who.
    pub recipient: Recipient,
    /// Which of [`EXTRAS`].
    extras: [bool; EXTRAS.len()],
}

impl From<Recipient> for Audience {
    fn from(recipient: Recipient) -> Self {
        Self { recipient, extras: [false; EXTRAS.len()] }
    }
}

impl Audience {
    /// With a part turned from unseen to seen, or back; what there is no room for stays unseen.
    #[must_use]
    pub fn turned(mut self, part: Part) -> Self {
        let index = EXTRAS.iter().position(|one| *one == part).filter(|_| self.recipient.may_see().any(|one| one == part));
        if let Some(index) = index {
            self.extras[index] = !self.extras[index];
        }
        self
    }

    /// Whether they may see a part.
    pub fn sees(self, part: Part) -> bool {
        self.recipient.sees(part) || EXTRAS.iter().zip(self.extras).any(|(one, is_shown)| *one == part && is_shown)
    }
}

const Y: char = 'y';
const N: char = '-';

/// What each may see, in the order of [`Recipient::ALL`]: keeper, neighbour, supplier, contractor, round.
const SEES: [(Part, [char; 5]); 16] = [
    (Part::Fence, [Y, Y, N, Y, Y]),
    (Part::Works, [Y, N, N, Y, Y]),
    (Part::Ids, [Y, N, N, Y, Y]),
    (Part::Paddocks, [Y, Y, N, Y, Y]),
    (Part::Surroundings, [Y, Y, N, Y, Y]),
    (Part::Posts, [Y, N, N, Y, Y]),
    (Part::Builds, [Y, N, N, Y, Y]),
    (Part::Findings, [Y, N, N, Y, Y]),
    (Part::Notes, [Y, N, N, Y, Y]),
    (Part::Marks, [Y, N, N, Y, Y]),
    (Part::Log, [Y, N, N, N, Y]),
    (Part::Stock, [Y, N, N, N, Y]),
    (Part::Order, [Y, N, Y, Y, N]),
    (Part::Prices, [Y, N, N, N, N]),
    (Part::Shed, [Y, N, N, Y, N]),
    (Part::Work, [Y, N, N, Y, N]),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_neighbour_sees_where_it_runs_and_a_supplier_what_is_bought_and_nobody_but_the_keeper_what_it_costs() {
        let seen = |to: Recipient| SEES.iter().map(|(part, _)| *part).filter(|part| to.sees(*part)).collect::<Vec<_>>();
        assert_eq!(seen(Recipient::Neighbour), [Part::Fence, Part::Paddocks, Part::Surroundings]);
        assert_eq!(seen(Recipient::Supplier), [Part::Order]);
        assert_eq!(seen(Recipient::Keeper).len(), SEES.len());
        assert!(Recipient::ALL.iter().skip(1).all(|to| !to.sees(Part::Prices)));
    }

    #[test]
    fn more_is_shown_only_where_it_was_chosen_and_there_is_room_for_it() {
        let may = |to: Recipient| to.may_see().collect::<Vec<_>>();
        assert_eq!(may(Recipient::Neighbour), [Part::Findings, Part::Notes, Part::Marks, Part::Log]);
        assert_eq!((may(Recipient::Supplier), may(Recipient::Keeper)), (vec![Part::Prices], vec![]));
        let neighbour = Audience::from(Recipient::Neighbour);
        let told = neighbour.turned(Part::Findings);
        assert!(told.sees(Part::Findings) && !told.sees(Part::Log) && !neighbour.sees(Part::Findings));
        assert_eq!(told.turned(Part::Findings), neighbour);
        assert_eq!(neighbour.turned(Part::Prices), neighbour, "no order, no prices");
    }
}
