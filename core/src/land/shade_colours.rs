//! The colours of shaded ground, all in one place.
//!
//! Ours, chosen by eye for one purpose: thin dark or saturated lines must stand out on every one of them. So light relief
//! stays pale and dark relief stays dark; low ground and high ground differ in warmth more than in lightness, so relief
//! stays readable; the slope classes are one hue in steps of lightness, so they can be told apart without seeing colour.

/// Red, green, blue, 0 to 255.
pub(super) type Colour = [f32; 3];

/// The tones of one kind of paper.
pub(super) struct Tones {
    /// Level ground.
    pub paper: Colour,
    /// Ground turned away from the light.
    pub shadow: Colour,
    /// Ground turned to the light.
    pub light: Colour,
    /// Paper of the lowest ground, when heights are tinted: pale green-grey.
    pub low: Colour,
    /// Paper of the middle heights: the plain paper, a little warmer.
    pub middle: Colour,
    /// Paper of the highest ground: warm stone.
    pub high: Colour,
    /// Paper of the slope classes, gentlest first: one hue, umber.
    pub slopes: [Colour; 6],
}

/// Light paper.
pub(super) const LIGHT: Tones = Tones {
    paper: [241.0, 236.0, 224.0],
    shadow: [148.0, 141.0, 130.0],
    light: [254.0, 252.0, 245.0],
    low: [226.0, 232.0, 217.0],
    middle: [241.0, 236.0, 222.0],
    high: [233.0, 219.0, 204.0],
    slopes: [
        [247.0, 244.0, 236.0],
        [239.0, 224.0, 200.0],
        [226.0, 198.0, 162.0],
        [209.0, 173.0, 132.0],
        [184.0, 144.0, 103.0],
        [150.0, 112.0, 77.0],
    ],
};

/// Dark paper: the same order of tones, and steeper is lighter so that steep ground still draws the eye.
pub(super) const DARK: Tones = Tones {
    paper: [54.0, 53.0, 50.0],
    shadow: [14.0, 14.0, 14.0],
    light: [116.0, 112.0, 104.0],
    low: [48.0, 56.0, 51.0],
    middle: [55.0, 53.0, 49.0],
    high: [70.0, 61.0, 53.0],
    slopes: [
        [36.0, 36.0, 34.0],
        [58.0, 48.0, 36.0],
        [82.0, 63.0, 43.0],
        [110.0, 82.0, 54.0],
        [142.0, 106.0, 70.0],
        [178.0, 138.0, 96.0],
    ],
};

/// From one colour to another.
pub(super) fn mix(from: Colour, to: Colour, share: f32) -> Colour {
    std::array::from_fn(|k| from[k] + (to[k] - from[k]) * share)
}
