//! A stream of numbers that is the same on every machine: a file is told by its reader, seed and number alone.

/// The stream.
pub struct Chance(u64);

impl Chance {
    /// The stream of one file.
    pub fn of(reader: &str, seed: u64, number: u64) -> Self {
        let mut chance = Self(seed ^ 0x5851_f42d_4c95_7f2d);
        for byte in reader.bytes().map(u64::from).chain([number]) {
            chance.0 ^= byte.wrapping_mul(0x9e37_79b9_7f4a_7c15);
            chance.next();
        }
        chance
    }

    /// The next number: splitmix64, a well-known mixer of a counter.
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// From 0 to one below `count`; 0 where that is 0.
    pub fn below(&mut self, count: usize) -> usize {
        (self.next() % (count.max(1) as u64)) as usize
    }

    /// Once in so many times.
    pub fn one_in(&mut self, times: usize) -> bool {
        self.below(times) == 0
    }

    /// One of a list that is not empty.
    pub fn pick<T: Clone>(&mut self, list: &[T]) -> T {
        list[self.below(list.len())].clone()
    }

    /// From 0 to 1.
    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_stream_is_the_same_everywhere_and_differs_from_file_to_file() {
        let first = |number| Chance::of("plan", 7, number).next();
        assert_eq!(first(0), first(0));
        assert_ne!(first(0), first(1));
        assert_ne!(Chance::of("gpx", 7, 0).next(), first(0));
        let mut plain = Chance(0);
        // The first two numbers of splitmix64 from 0, as its author prints them.
        assert_eq!([plain.next(), plain.next()], [0xe220_a839_7b1d_cdaf, 0x6e78_9e6a_a1b9_65f4]);
    }
}
