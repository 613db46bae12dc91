//! What stands beside work that can hurt somebody. Local rules and licensed practice come first, and it says so (`fence-installation`).

/// Beside the whole of it.
pub const IN_SHORT: [&str; 2] = [
    "Mains wiring is work for a licensed electrician. Never two energizers on one fence, never barbed wire.",
    "Select the energizer and the earth rods for what to mind with them. Local rules come first.",
];

/// Beside the energizer.
pub const ENERGIZER: [&str; 7] = [
    "Mains wiring is work for a licensed electrician. The unit stands dry, where no child and no animal reaches it.",
    "Never connect two energizers to one fence, and keep the wires of two fences with an energizer each 2.5 m apart.",
    "Never electrify barbed or razor wire.",
    "Tell children and visitors what the fence does, and put up warning signs. Keep live wires away from where people or animals stand in water.",
    "People with a pacemaker or a weak heart keep clear of the fence.",
    "A lead into a building can bring lightning in: ask for an arrester, and keep away from fence and unit in a thunderstorm.",
    "The unit's own manual and the rules of your place come before anything that is said here.",
];

/// Beside the earth rods.
pub const EARTH: [&str; 3] = [
    "Keep the rods at least 10 m from every other earth: mains supply, telephone, water pipes, lightning conductor. Never join them to one.",
    "Find out where cables and pipes lie before you drive a rod.",
    "The rules of your place come first.",
];

/// Beside the lead-out and crossings.
pub const LEADS: [&str; 2] = [
    "Never lay it in one duct with mains, telephone or data cables, nor hang it on their poles.",
    "Over a way that vehicles use it needs the clearance that local rules ask for, or goes into the ground.",
];

/// Beside switches and readings: work on the fence itself.
pub const AT_THE_FENCE: [&str; 1] =
    ["Switch the energizer off before you work on the fence, and make sure that nobody switches it on."];

/// Beside a ride or a walk along the lines.
pub const ON_THE_ROUND: [&str; 3] = [
    "Switch the energizer off before you mend the fence, and make sure that nobody switches it on.",
    super::DRIVING_CAUTION,
    "A fallen tree on the wire is under strain: leave it to somebody who is trained with a chainsaw. Tell somebody where you go. \
     Local rules come first.",
];
