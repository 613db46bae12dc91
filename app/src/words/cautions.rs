//! Which caution stands where. One table: every screen, command, sheet and page asks it what it has to say, and tests walk it.
//!
//! What is said is common practice and, for the fence itself, the annex on its installation (`fence-installation`); local rules and licensed practice
//! come first, and it says so.

use hillwire_core::share::{ELECTRIC_CAUTION, ELECTRIC_IN_SHORT, OVERHEAD_CAUTION};

/// Where a caution can stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Place {
    /// The sheet that the window begins with.
    Start,
    /// The stage Land.
    Land,
    /// The stage Line, with nothing selected.
    Line,
    /// The stage Hold, with nothing selected or a line.
    Hold,
    /// The stage Power, with nothing selected.
    Power,
    /// The stage Order.
    Order,
    /// The stage Round.
    Round,
    /// The stage Round, where the way leads through a paddock with stock that may attack.
    RoundWithStock,
    /// The stage Share.
    Share,
    /// The card of an energizer.
    EnergizerCard,
    /// The card of earth rods.
    EarthCard,
    /// The card of a lead-out.
    LeadCard,
    /// The cards of switches, jumpers and faults.
    FenceCard,
    /// The card of a reading.
    ReadingCard,
    /// The card of an overhead line.
    OverheadCard,
    /// The card of a public way.
    WayCard,
    /// The card of a track.
    TrackCard,
    /// The cards of a tree, and of a post that is one.
    TreeCard,
    /// `check`
    Check,
    /// `mend`
    Mend,
    /// `order`
    OrderCommand,
    /// `section`
    SectionCommand,
    /// `section` of a line that hangs on a tree.
    SectionWithTree,
    /// `section` of a track.
    TrackSection,
    /// `power`
    PowerCommand,
    /// `locate`, and what the window says of the same.
    Locate,
    /// `round`
    RoundCommand,
    /// `round` where the way leads through a paddock with stock that may attack.
    RoundCommandWithStock,
    /// The printed map, for everybody.
    MapSheet,
    /// The printed map for those who build or look after the fence.
    MapSheetForWork,
    /// The drawn long section.
    SectionSheet,
    /// The printed order.
    OrderSheet,
    /// The printed table of a round.
    RoundSheet,
    /// The same, where the way leads through a paddock with stock that may attack.
    RoundSheetWithStock,
    /// The web page.
    Page,
    /// The web page, at the thing itself.
    PageEntry,
    /// Map files for other programs, at the thing itself.
    MapFiles,
    /// The README.
    Readme,
}

use Place::{
    Check, EarthCard, EnergizerCard, FenceCard, Hold, Land, LeadCard, Line, Locate, MapFiles, MapSheet, MapSheetForWork, Mend,
    Order, OrderCommand, OrderSheet, OverheadCard, Page, PageEntry, Power, PowerCommand, ReadingCard, Readme, Round,
    RoundCommand, RoundCommandWithStock, RoundSheet, RoundSheetWithStock, RoundWithStock, SectionCommand, SectionSheet,
    SectionWithTree, Share, Start, TrackCard, TrackSection, TreeCard, WayCard,
};

/// A caution and every place where it stands.
#[derive(Clone, Copy, Debug)]
pub struct Caution {
    /// The sentence, the same everywhere.
    pub says: &'static str,
    /// Where.
    pub stands: &'static [Place],
}

const fn row(says: &'static str, stands: &'static [Place]) -> Caution {
    Caution { says, stands }
}

/// What to mind where a living tree carries strands.
pub const TREE: &str = "Fix a batten of wood to the tree and the insulators to the batten; never wind wire round a trunk, it cuts into \
    the bark and kills the tree, and the strand leaks. Trees sway and grow: give the strand a spring and look at it every year. Look up for dead \
    branches before you work there, and ask whoever owns the tree.";

/// All of them; at every place what can hurt worst comes first.
pub static CAUTIONS: [Caution; 34] = [
    row(ELECTRIC_CAUTION, &[MapSheet, Page, SectionSheet, MapFiles]),
    row(ELECTRIC_IN_SHORT, &[PageEntry]),
    row(OVERHEAD_CAUTION, &[Line, OverheadCard, MapSheet, SectionSheet, Page, PageEntry, MapFiles, Readme]),
    row(
        "Before you work on the fence switch the energizer off, make sure that nobody switches it on, and check with the meter that the wire is dead.",
        &[FenceCard, Power, PowerCommand, Locate, Round, RoundCommand, RoundSheet, MapSheetForWork, Readme],
    ),
    row(
        "A boar, a bull, a sow with her litter or a cow with her calf may attack without warning: look where they are before you go in, stay near \
         the vehicle or a gate, take no dog, and do not go alone.",
        &[RoundWithStock, RoundCommandWithStock, RoundSheetWithStock],
    ),
    row(
        "Vehicles overturn on slopes well below what they can climb. Walk a new way first and keep off side slopes; wear helmet and belt, and take \
         no passenger on a seat for one; the machine's own handbook comes before this map.",
        &[Land, TrackCard, TrackSection, Round, RoundCommand, RoundSheet, Readme],
    ),
    row(
        "Somebody caught in the fence: switch the energizer off first, then free them.",
        &[EnergizerCard, Power, PowerCommand, Round, RoundCommand, RoundSheet, MapSheet, Page, Readme],
    ),
    row(
        "Mains wiring is work for a licensed electrician. Never two energizers on one fence, never barbed wire.",
        &[Power, PowerCommand, Order, OrderSheet, Readme],
    ),
    row(
        "Mains wiring is work for a licensed electrician. The unit stands dry, where no child and no animal reaches it.",
        &[EnergizerCard],
    ),
    row(
        "Wire under tension flies back when it breaks or slips: eye protection, gloves, nobody in its line, and no more tension than its maker \
         allows.",
        &[Hold, SectionCommand, SectionSheet, RoundSheet, MapSheetForWork, Readme],
    ),
    row("Thunderstorm: keep away from fence, leads and energizer.", &[EnergizerCard, Round, RoundCommand, RoundSheet, Readme]),
    row(
        "Sparks set dry growth alight: in drought keep it off the wires, heed fire bans, and switch off what need not be live.",
        &[Power, PowerCommand, Round, RoundCommand, RoundSheet, Readme],
    ),
    row(
        "Ask where cables and pipes lie before you dig, drill, or drive a post or a rod.",
        &[Line, Hold, EarthCard, Order, OrderCommand, SectionCommand, SectionSheet, MapSheetForWork, Readme],
    ),
    row(
        "Measure with a voltmeter made for electric fences, never with a multimeter.",
        &[ReadingCard, EarthCard, Power, PowerCommand, Locate, Round, RoundCommand, RoundSheet, Readme],
    ),
    row(
        "Earth test: switch off before you short the fence, and again before you take the short away. In between, switched on, measure from a rod \
         to a probe of your own in the ground, 1 m away or as far as the meter's lead reaches.",
        &[EarthCard, PowerCommand],
    ),
    row(
        "Never connect two energizers to one fence, and keep the wires of two fences with an energizer each 2.5 m apart.",
        &[EnergizerCard],
    ),
    row("Never electrify barbed or razor wire.", &[EnergizerCard, SectionSheet]),
    row(
        "Tell children and visitors what the fence does, and put up warning signs. Keep live wires away from where people or animals stand in water.",
        &[EnergizerCard],
    ),
    row("People with a pacemaker or a weak heart keep clear of the fence.", &[EnergizerCard, MapSheet, Page]),
    row(
        "A lead into a building can bring lightning in: ask for an arrester. Through walls and along them it is insulated cable made for fences, kept \
         off everything that is earthed.",
        &[EnergizerCard, LeadCard],
    ),
    row("Never lay it in one duct with mains, telephone or data cables, nor hang it on their poles.", &[LeadCard]),
    row("Over a way that vehicles use it needs the clearance that local rules ask for, or goes into the ground.", &[LeadCard]),
    row(
        "Keep the rods at least 10 m from every other earth: mains supply, telephone, water pipes, lightning conductor. Never join them to one.",
        &[EarthCard, OrderSheet],
    ),
    row(
        "Never cross a stream in flood, on foot or riding; mend a water gap when the water has fallen.",
        &[Round, RoundCommand, RoundSheet, Readme],
    ),
    row(
        "A fallen tree on the wire is under strain: leave it to somebody who is trained with a chainsaw.",
        &[Round, RoundCommand, RoundSheet, MapSheetForWork, Readme],
    ),
    row("In the hunting season ask who hunts where, and wear what is seen.", &[Round, RoundCommand, RoundSheet, Readme]),
    row(
        "Rolls, posts and batteries are heavy: lift them with two people or a machine.",
        &[Order, OrderCommand, RoundSheet, Readme],
    ),
    row(TREE, &[TreeCard, SectionWithTree]),
    row(
        "An electric fence beside a public way needs warning signs, and a way across that is not live. Local rules come first.",
        &[WayCard],
    ),
    row(
        "Whoever gets the map should know: the fence is live. Warning signs stand at every way in and along public ways; local codes come first.",
        &[Share],
    ),
    row("Tell somebody where you go.", &[Round, RoundCommand, RoundSheet]),
    row(
        "Drawn from an elevation grid and from rules of thumb, not from a survey: it shows where the line is meant to run, and proves no boundary.",
        &[MapSheet, SectionSheet, Page],
    ),
    row("A plan is not a promise: walk the line before you build.", &[Start, Check, Mend, Order, OrderCommand, SectionSheet]),
    row(
        "Local codes, the owners of buried cables and overhead lines, licensed people and the handbooks of machines come before anything that is said \
         here.",
        &[
            Start,
            Check,
            Mend,
            Hold,
            Power,
            Order,
            OrderCommand,
            SectionCommand,
            EnergizerCard,
            EarthCard,
            PowerCommand,
            Round,
            RoundCommand,
            RoundSheet,
            MapSheet,
            SectionSheet,
            OrderSheet,
            Page,
            Readme,
        ],
    ),
];

/// What is said at a place, the worst first.
pub fn at(place: Place) -> impl Iterator<Item = &'static str> {
    CAUTIONS.iter().filter(move |caution| caution.stands.contains(&place)).map(|caution| caution.says)
}

/// The same in one paragraph, for paper.
pub fn paragraph_at(places: &[Place]) -> String {
    let here = |caution: &&Caution| caution.stands.iter().any(|place| places.contains(place));
    CAUTIONS.iter().filter(here).map(|caution| caution.says).collect::<Vec<_>>().join(" ")
}
