//! Numbers that are the same for a seed on every machine.
/// SplitMix64 (Steele, Lea & Flood 2014): integers only, so the same everywhere.
pub(crate) struct Random(pub(crate) u64);

impl Random {
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub(crate) fn below(&mut self, count: usize) -> usize {
        (self.next() % count as u64) as usize
    }

    pub(crate) fn chance(&mut self, of_ten: usize) -> bool {
        self.below(10) < of_ten
    }

    pub(crate) fn between(&mut self, min: f64, max: f64) -> f64 {
        let unit = (self.next() >> 11) as f64 / (1u64 << 53) as f64;
        min + (max - min) * unit
    }

    pub(crate) fn vector(&mut self, size: f64) -> [f64; 3] {
        [(); 3].map(|()| self.between(-size, size))
    }

    pub(crate) fn rotation(&mut self) -> [f64; 4] {
        loop {
            let q = [(); 4].map(|()| self.between(-1.0, 1.0));
            let norm = q.iter().map(|x| x * x).sum::<f64>();
            if norm > 0.01 {
                return q.map(|x| x / norm.sqrt());
            }
        }
    }
}
