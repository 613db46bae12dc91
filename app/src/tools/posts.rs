//! What the keeper says about single posts of a fence: wanted here, not wanted there, held down.

use hillwire_core::hold::{CLEAR_OF_POSTS_M, Post, PostRole, SAME_POST_M};
use hillwire_core::plan::Fence;
use hillwire_core::units::Length;

/// Nobody drives a post to less than this.
const STEP_M: f64 = 0.01;

/// Whether a post can be moved along its line and taken out: corners, ends and gates stand where the map has them.
pub fn is_free(post: &Post) -> bool {
    post.pinned || matches!(post.role, PostRole::Line | PostRole::Dip | PostRole::Rise | PostRole::Peg)
}

/// A station as it is kept: to the centimetre.
fn kept(station: Length) -> Length {
    Length::metres((station.as_metres() / STEP_M).round() * STEP_M)
}

fn off_m(a: Length, b: Length) -> f64 {
    (a - b).as_metres().abs()
}

fn sort(stations: &mut [Length]) {
    stations.sort_by(|a, b| a.as_metres().total_cmp(&b.as_metres()));
}

/// The fence with a post wanted at this station.
pub fn with_post(fence: &Fence, at: Length) -> Fence {
    let mut fence = fence.clone();
    let at = kept(at);
    fence.posts.retain(|known| off_m(*known, at) >= SAME_POST_M);
    fence.posts.push(at);
    fence.no_posts.retain(|known| off_m(*known, at) >= CLEAR_OF_POSTS_M);
    sort(&mut fence.posts);
    fence
}

/// The fence with a post of one station wanted at another instead. A planned post is wanted there from now on; a hold-down goes with it.
pub fn with_post_moved(fence: &Fence, from: Length, to: Length) -> Fence {
    let mut without = fence.clone();
    without.posts.retain(|known| off_m(*known, from) >= SAME_POST_M);
    let mut moved = with_post(&without, to);
    for list in [&mut moved.hold_downs, &mut moved.braces] {
        list.iter_mut().filter(|at| off_m(**at, from) < SAME_POST_M).for_each(|at| *at = kept(to));
        sort(list);
    }
    moved
}

/// The fence without this post: one that the keeper wanted is no longer wanted; where one was planned, none is wanted.
pub fn without_post(fence: &Fence, post: &Post) -> Fence {
    let mut fence = fence.clone();
    if post.pinned {
        fence.posts.retain(|known| off_m(*known, post.station) >= SAME_POST_M);
    } else {
        fence.no_posts.push(kept(post.station));
        sort(&mut fence.no_posts);
    }
    for list in [&mut fence.hold_downs, &mut fence.braces] {
        list.retain(|known| off_m(*known, post.station) >= SAME_POST_M);
    }
    fence
}

/// The fence with this post no longer wanted by the keeper: where it stands is planned again.
pub fn with_post_unpinned(fence: &Fence, at: Length) -> Fence {
    let mut fence = fence.clone();
    fence.posts.retain(|known| off_m(*known, at) >= SAME_POST_M);
    fence
}

/// The fence with posts allowed again where none was wanted.
pub fn with_posts_allowed(fence: &Fence, at: Length) -> Fence {
    let mut fence = fence.clone();
    fence.no_posts.retain(|known| off_m(*known, at) >= STEP_M / 2.0);
    fence
}

/// The fence with the post at this station held down.
pub fn with_hold_down(fence: &Fence, at: Length) -> Fence {
    let mut fence = without_hold_down(fence, at);
    fence.hold_downs.push(kept(at));
    sort(&mut fence.hold_downs);
    fence
}

/// The fence with the post at this station held by nothing but the ground.
pub fn without_hold_down(fence: &Fence, at: Length) -> Fence {
    let mut fence = fence.clone();
    fence.hold_downs.retain(|known| off_m(*known, at) >= SAME_POST_M);
    fence
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fence(posts: &[f64], no_posts: &[f64], hold_downs: &[f64]) -> Fence {
        let metres = |stations: &[f64]| stations.iter().copied().map(Length::metres).collect();
        Fence { posts: metres(posts), no_posts: metres(no_posts), hold_downs: metres(hold_downs), ..Fence::default() }
    }

    fn same(found: &Fence, expected: &Fence) -> bool {
        let near = |a: &[Length], b: &[Length]| a.len() == b.len() && a.iter().zip(b).all(|(a, b)| off_m(*a, *b) < 1e-9);
        near(&found.posts, &expected.posts)
            && near(&found.no_posts, &expected.no_posts)
            && near(&found.hold_downs, &expected.hold_downs)
    }

    #[test]
    fn a_post_that_is_moved_takes_its_place_and_its_hold_down_along_and_nothing_else() {
        let before = fence(&[10.0, 40.0], &[25.0], &[40.0, 60.0]);
        let metres = Length::metres;
        for (what, found, expected) in [
            (
                "a wanted post",
                with_post_moved(&before, metres(40.0), metres(44.002)),
                fence(&[10.0, 44.0], &[25.0], &[44.0, 60.0]),
            ),
            (
                "a planned post",
                with_post_moved(&before, metres(18.0), metres(20.0)),
                fence(&[10.0, 20.0, 40.0], &[25.0], &[40.0, 60.0]),
            ),
            (
                "to where none was wanted",
                with_post_moved(&before, metres(10.0), metres(24.7)),
                fence(&[24.7, 40.0], &[], &[40.0, 60.0]),
            ),
            ("onto another one", with_post_moved(&before, metres(10.0), metres(39.9)), fence(&[39.9], &[25.0], &[40.0, 60.0])),
            ("a new one", with_post(&before, metres(5.0)), fence(&[5.0, 10.0, 40.0], &[25.0], &[40.0, 60.0])),
            ("planned again", with_post_unpinned(&before, metres(10.1)), fence(&[40.0], &[25.0], &[40.0, 60.0])),
            ("allowed again", with_posts_allowed(&before, metres(25.0)), fence(&[10.0, 40.0], &[], &[40.0, 60.0])),
            ("held down", with_hold_down(&before, metres(10.0)), fence(&[10.0, 40.0], &[25.0], &[10.0, 40.0, 60.0])),
            ("let go", without_hold_down(&before, metres(60.1)), fence(&[10.0, 40.0], &[25.0], &[40.0])),
        ] {
            assert!(same(&found, &expected), "{what}: {found:?}");
        }
    }
}
