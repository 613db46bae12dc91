//! What pulls, lifts, tightens and covers: findings about loads and about the ground against the strands.

use super::findings::{ordinal_strand, with_article};
use super::{angle, force, gap, item, length, mass, percent, share, temperature};
use hillwire_core::catalogue::Catalogue;
use hillwire_core::finding::{Cover, Reason, Remedy};
use hillwire_core::plan::UnitSystem;
use hillwire_core::units::{Length, POUND_FORCE_N};

/// What was found and why it matters; `None` for a reason that is not about loads.
pub fn says(reason: &Reason, value: f64, catalogue: &Catalogue, units: UnitSystem) -> Option<String> {
    of_posts(reason, catalogue, units)
        .or_else(|| of_strands(reason, value, catalogue, units))
        .or_else(|| of_slack(reason, catalogue, units))
}

fn turns_often(times: usize, over: Length, units: UnitSystem) -> String {
    format!(
        "The line turns sharply {times} times in {}. Each such corner takes a strainer post with a brace and hours of work, and straight strains are \
         easier to keep tight. Leave out the corners that neither the ground nor a boundary asks for.",
        length(over, units)
    )
}

fn of_posts(reason: &Reason, catalogue: &Catalogue, units: UnitSystem) -> Option<String> {
    let held = |force_| force(force_, units);
    Some(match reason {
        Reason::Breaks { pull, at_height, breaks_at, safety_factor, post, .. } => format!(
            "The strands pull this post with {} at {} above the ground. {} breaks at {}; with a safety factor of {safety_factor} it is \
             good for {}.",
            held(*pull),
            gap(*at_height, units),
            with_article(item(post, catalogue)),
            held(*breaks_at),
            held(*breaks_at / *safety_factor)
        ),
        Reason::PostTooShort { post, strands, stands, posts } => {
            let all = if *posts == 1 { "One post".to_owned() } else { format!("{posts} posts") };
            let row = item(post, catalogue);
            let which = if *strands == 1 { "The highest strand hangs".to_owned() } else { format!("{strands} strands hang") };
            format!(
                "{which} too high for {} of this line: {} stands {} out of the ground, set as deep as is usual.",
                all.to_lowercase(),
                with_article(row).to_lowercase(),
                gap(*stands, units)
            )
        }
        Reason::TurnsOften { times, over } => turns_often(*times, *over, units),
        Reason::NotBraced { stations, of, wires, pull } => {
            let at: Vec<String> = stations.iter().map(|station| length(*station, units)).collect();
            let which = if stations.len() == *of {
                "None".to_owned()
            } else {
                format!("Of {of} posts that take the strain {}", stations.len())
            };
            format!(
                "{which} {} braced: at {}. {wires} hard wires pull such a post with up to {} for years, and a post without a brace leans \
                 in wet ground however well it stands at first.",
                if stations.len() == *of { "of the posts that take the strain is" } else { "are not" },
                listed(&at),
                held(*pull)
            )
        }
        Reason::LiftedOut { stations, pull, by_brace, capacity, safety_factor, depth, post } => {
            let brace = if by_brace.as_newtons() > 0.5 {
                format!(", {} of it through its brace", held(*by_brace))
            } else {
                String::new()
            };
            format!(
                "On the coldest day the strands pull {} upwards with {}{brace}. {} set {} deep holds some {} at most in this \
                 soil; with a safety factor of {safety_factor} that is good for {}.",
                posts_at(stations, units),
                held(*pull),
                with_article(item(post, catalogue)),
                gap(*depth, units),
                held(*capacity),
                held(*capacity / *safety_factor)
            )
        }
        Reason::PulledOff { stations, strand, pull, holds } => format!(
            "At {} {} pulls its insulator with {}, and the insulator holds {}: it comes off before the post gives.",
            posts_at(stations, units),
            ordinal_strand(*strand),
            held(*pull),
            held(*holds)
        ),
        _ => return None,
    })
}

/// What is set too slack from the first.
fn of_slack(reason: &Reason, catalogue: &Catalogue, units: UnitSystem) -> Option<String> {
    let held = |force_| force(force_, units);
    Some(match reason {
        Reason::SetSlack { strand, wire, set, usual, more_posts } => {
            let costs = match more_posts {
                0 => String::new(),
                1 => " It costs about one post more on this line.".to_owned(),
                more => format!(" It costs about {more} posts more on this line, which has to keep its sag small."),
            };
            format!(
                "{} of {} is set to {}; {} is usual. A strand so slack sags, and an animal pushes through.{costs}",
                capital(&ordinal_strand(*strand)),
                item(wire, catalogue),
                held(*set),
                held(*usual)
            )
        }
        _ => return None,
    })
}

/// `this post`; `3 posts (at 4.0 m, 12 m and 40 m; here hardest)`.
fn posts_at(stations: &[Length], units: UnitSystem) -> String {
    if stations.len() < 2 {
        return "this post".to_owned();
    }
    let at: Vec<String> = stations.iter().map(|station| length(*station, units)).collect();
    format!("{} posts (at {}; here hardest)", stations.len(), listed(&at))
}

fn of_strands(reason: &Reason, value: f64, catalogue: &Catalogue, units: UnitSystem) -> Option<String> {
    let held = |force_| force(force_, units);
    Some(match reason {
        Reason::TooTightInCold { strand, wire, set, cold, joint, coldest_c } => format!(
            "At {} {} of {} pulls {} instead of the {} it was set to. A knot or splice of it holds {}, and half of that is as far as it \
             should go.",
            temperature(*coldest_c, units),
            ordinal_strand(*strand),
            item(wire, catalogue),
            held(*cold),
            held(*set),
            held(*joint)
        ),
        Reason::SlackInHeat { strand, set, hot, hottest_c } => format!(
            "At {} in the sun {} keeps {} of the {} it was set to: it hangs loose, and an animal pushes through.",
            temperature(*hottest_c, units),
            ordinal_strand(*strand),
            held(*hot),
            held(*set)
        ),
        Reason::EatenByFriction { from_middle, slackest_share, turned_deg } => format!(
            "Between its ends this strain turns by {} in all, and friction eats tension at every turn: a strainer at the middle of its \
             length leaves {} of it at one end. Here it leaves {} at the slackest bay.",
            angle(*turned_deg),
            share(*from_middle),
            share(*slackest_share)
        ),
        Reason::Buried { by: Cover::Soil, cover, over, .. } => format!(
            "Rooted soil and leaves lie {} high along a fence before anybody rakes; here the lowest strand comes down to {} above the ground, \
             and so it is over {} of this line. What touches the ground leaks.",
            gap(*cover, units),
            gap(Length::metres(value), units),
            length(*over, units)
        ),
        Reason::Buried { by: Cover::Snow, cover, strands, .. } => {
            let lie =
                if *strands == 1 { "The lowest strand lies".to_owned() } else { format!("The {strands} lowest strands lie") };
            format!(
                "{lie} in {} of snow. A strand in snow leaks, and on dry snow an animal feels little of any.",
                gap(*cover, units)
            )
        }
        Reason::SteepToFarrow => format!(
            "The ground of this paddock falls at {} in the mean. On a slope piglets roll against the sow or out of the ark, and are lost.",
            percent(value)
        ),
        Reason::NoShade => {
            "Pigs cannot sweat and burn in the sun: this paddock has neither wood nor a shelter drawn in it.".to_owned()
        }
        Reason::HigherFromBelow { slope_pct, reach, animal, over } => format!(
            "The ground falls at {} across the line. To {} that stands {} below, the lowest strand is {} high; so it is over {} of \
             this line.",
            percent(*slope_pct),
            with_article(animal_label(animal, catalogue)).to_lowercase(),
            gap(*reach, units),
            gap(Length::metres(value), units),
            length(*over, units)
        ),
        _ => return None,
    })
}

/// `Growing pig` of `Growing pig, 25 to 60 kg`.
pub(super) fn animal_label<'a>(id: &'a str, catalogue: &'a Catalogue) -> &'a str {
    let label = catalogue.animals.iter().find(|row| row.id == id).map_or(id, |row| row.label.as_str());
    label.split(',').next().unwrap_or(label)
}

/// What is done to posts and to the tension of strands.
fn does_to_posts(remedy: &Remedy, units: UnitSystem, catalogue: &Catalogue) -> Option<String> {
    let held = |force_| force(force_, units);
    Some(match remedy {
        Remedy::TallerPosts { from, to } => format!(
            "Take {} in the place of {}, everywhere in this build.",
            with_article(item(to, catalogue)).to_lowercase(),
            with_article(item(from, catalogue)).to_lowercase()
        ),
        Remedy::BraceAll { posts, brace } => {
            let at: Vec<String> = posts.iter().map(|(station, _)| length(*station, units)).collect();
            format!(
                "Brace at {}: a rail to a second post {} along the line, and a wire from the foot of the one to the top of the other. Where \
                 strands end from both sides, wires both ways.",
                listed(&at),
                length(*brace, units)
            )
        }
        Remedy::TieBack { holds } => format!(
            "Or tie it back: a wire from the highest strand to a screw anchor or a stake driven at a slant two metres behind it, that holds {}.",
            held(*holds)
        ),
        Remedy::HoldDown { posts } => hold_down(posts, units),
        Remedy::RaiseTension { tension } => {
            format!("Strain each strand to {}, if the ends are braced for it.", held(*tension))
        }
        Remedy::StrainInCold => {
            "Strain it on a cold day and let it hang slack in summer, or take high-tensile wire with a spring in each strand."
                .to_owned()
        }
        _ => return None,
    })
}

/// What can be done; `None` for a remedy that is not about loads.
pub fn does(remedy: &Remedy, units: UnitSystem, catalogue: &Catalogue) -> Option<String> {
    let held = |force_| force(force_, units);
    Some(match remedy {
        Remedy::Brace { uplift, rail, wire, brace } => format!(
            "Brace it with a rail to a second post {} along the line, and a wire from its foot to the top of that one: the rail takes {}, the \
             wire {}, and the post is pulled upwards with {}.",
            length(*brace, units),
            held(*rail),
            held(*wire),
            held(*uplift)
        ),
        Remedy::ShiftCorner { by, depth, .. } => {
            format!("Move the corner by {} to where the post goes {} deep.", length(*by, units), gap(*depth, units))
        }
        Remedy::LivingTree => {
            "If a living tree of 15 cm or more stands there, hang the line on it with a batten of wood behind the insulators."
                .to_owned()
        }
        Remedy::Spring { spring_n_per_m, tension } => format!(
            "Put a spring of {} into each strand of each strain: the strand then pulls {}.",
            spring_rate(*spring_n_per_m, units),
            held(*tension)
        ),
        Remedy::StrainersAt { stations } => {
            let at: Vec<String> = stations.iter().map(|station| length(*station, units)).collect();
            format!("Put the strainers at {} along the line.", listed(&at))
        }
        Remedy::RaiseLowest { to } => format!("Hang the lowest strand at {}.", gap(*to, units)),
        Remedy::LowerLowest { to } => format!("Hang the lowest strand at {} on such slopes.", gap(*to, units)),
        Remedy::Rake => "Rake soil and leaves away from under the lowest strand on every round.".to_owned(),
        Remedy::LevelArk => {
            "Let sows farrow on level ground, or set the ark level with its door along the slope and a board across it while piglets are \
             small."
                .to_owned()
        }
        Remedy::ShelterAndWallow => "Put a hut or a shade into it, and let breeding stock have a wallow.".to_owned(),
        Remedy::SwitchOff { strands: 1 } => "Take the lowest strand out of circuit while snow lies.".to_owned(),
        Remedy::SwitchOff { strands } => format!("Take the {strands} lowest strands out of circuit while snow lies."),
        Remedy::AddPosts { stations, in_rock } => {
            let at: Vec<String> = stations.iter().map(|station| length(*station, units)).collect();
            let pins = match in_rock {
                0 => String::new(),
                1 => ", one of them a steel pin grouted into the rock".to_owned(),
                more => format!(", {more} of them steel pins grouted into the rock"),
            };
            format!("Let posts stand at {} along the line{pins}.", listed(&at))
        }
        _ => return does_to_posts(remedy, units, catalogue),
    })
}

fn hold_down(posts: &[(Length, f64)], units: UnitSystem) -> String {
    match posts {
        [(_, ballast_kg)] => format!(
            "Hold it down: a screw anchor, a second stake at a slant, or {} of stone wired to its foot.",
            mass(*ballast_kg, units)
        ),
        many => {
            let heaviest_kg = many.iter().map(|(_, ballast_kg)| *ballast_kg).fold(0.0, f64::max);
            let all = if many.len() == 2 { "both".to_owned() } else { format!("all {}", many.len()) };
            format!(
                "Hold {all} down: a screw anchor or a second stake at a slant for each, or up to {} of stone wired to its foot.",
                mass(heaviest_kg, units)
            )
        }
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// A spring's rate: `5.0 kN/m`; `29 lbf/in`.
fn spring_rate(n_per_m: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{:.1}\u{a0}kN/m", n_per_m / 1000.0),
        UnitSystem::Us => format!("{:.0}\u{a0}lbf/in", n_per_m / POUND_FORCE_N * 0.0254),
    }
}

/// `a`, `a and b`, `a, b and c`.
pub(super) fn listed(all: &[String]) -> String {
    match all {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hillwire_core::units::Force;

    #[test]
    fn what_is_done_about_posts_and_tension_is_an_instruction() {
        let (n, m) = (Force::newtons, Length::metres);
        let all = [
            Remedy::TallerPosts { from: "step-in".to_owned(), to: "hardwood".to_owned() },
            Remedy::BraceAll { posts: vec![(m(4.0), None), (m(40.0), Some(2))], brace: m(2.4) },
            Remedy::TieBack { holds: n(900.0) },
            Remedy::HoldDown { posts: vec![(m(4.0), 60.0)] },
            Remedy::RaiseTension { tension: n(667.0) },
            Remedy::StrainInCold,
        ];
        for remedy in all {
            let told = does(&remedy, UnitSystem::Us, Catalogue::built_in()).expect("about loads");
            assert!(told.starts_with(char::is_uppercase) && told.ends_with('.') && !told.contains("kN"), "{told}");
        }
    }

    #[test]
    fn loads_are_told_with_their_numbers() {
        let n = Force::newtons;
        let lifted = Reason::LiftedOut {
            stations: vec![Length::metres(4.0)],
            pull: n(780.0),
            by_brace: n(120.0),
            capacity: n(1200.0),
            safety_factor: 2.0,
            depth: Length::metres(0.46),
            post: "t-post".to_owned(),
        };
        let told = says(&lifted, 780.0, Catalogue::built_in(), UnitSystem::Metric).expect("about loads");
        let plain = told.replace(['\u{202f}', '\u{a0}'], " ");
        for part in ["780 N", "120 N of it through its brace", "0.46 m deep", "600 N"] {
            assert!(plain.contains(part), "{part} in {plain}");
        }
        let posts = Remedy::AddPosts { stations: [10.0, 12.0, 14.0].map(Length::metres).to_vec(), in_rock: 1 };
        let told =
            does(&posts, UnitSystem::Metric, Catalogue::built_in()).expect("about loads").replace(['\u{202f}', '\u{a0}'], " ");
        assert_eq!(
            told,
            "Let posts stand at 10.0 m, 12.0 m and 14.0 m along the line, one of them a steel pin grouted into the rock."
        );
    }
}
