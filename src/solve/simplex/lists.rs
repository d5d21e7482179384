//! Many short sparse vectors in two long ones, so that they are copied at once and lie beside each other in memory.

/// Places kept free behind each list, for entries to come (estimate).
const ROOM: u32 = 4;

/// Lists of places and values.
#[derive(Clone, Debug, Default)]
pub struct Lists {
    spans: Vec<Span>,
    place: Vec<u32>,
    value: Vec<f64>,
}

#[derive(Clone, Copy, Debug, Default)]
struct Span {
    begin: u32,
    length: u32,
    room: u32,
}

impl Lists {
    /// As many empty lists as there are lengths, each with room for so many entries and some more.
    pub fn with_room(lengths: &[u32]) -> Lists {
        let mut lists = Lists::default();
        for &length in lengths {
            lists.spans.push(Span {
                begin: lists.place.len() as u32,
                length: 0,
                room: length + ROOM,
            });
            lists.grow(length + ROOM);
        }
        lists
    }

    /// Adds a list at the end.
    pub fn add(&mut self, entries: impl Iterator<Item = (usize, f64)>) {
        let begin = self.place.len() as u32;
        for (place, value) in entries {
            self.place.push(place as u32);
            self.value.push(value);
        }
        let length = self.place.len() as u32 - begin;
        self.spans.push(Span {
            begin,
            length,
            room: length,
        });
    }

    fn grow(&mut self, by: u32) {
        let length = self.place.len() + by as usize;
        self.place.resize(length, 0);
        self.value.resize(length, 0.0);
    }

    /// Entries of a list.
    #[inline]
    pub fn of(&self, list: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let span = self.spans[list];
        let range = span.begin as usize..(span.begin + span.length) as usize;
        let places = self.place[range.clone()].iter();
        let values = self.value[range].iter();
        places.zip(values).map(|(&p, &v)| (p as usize, v))
    }

    /// Adds an entry to a list; one without room goes to the end.
    pub fn push(&mut self, list: usize, place: usize, value: f64) {
        let span = self.spans[list];
        if span.length == span.room {
            let begin = self.place.len();
            let old = span.begin as usize;
            self.grow(2 * span.room + ROOM);
            let length = span.length as usize;
            self.place.copy_within(old..old + length, begin);
            self.value.copy_within(old..old + length, begin);
            self.spans[list].begin = begin as u32;
            self.spans[list].room = 2 * span.room + ROOM;
        }
        let span = &mut self.spans[list];
        let at = (span.begin + span.length) as usize;
        span.length += 1;
        (self.place[at], self.value[at]) = (place as u32, value);
    }

    /// Takes the entry at a place out of a list, if there is one.
    pub fn remove(&mut self, list: usize, place: usize) {
        let span = &mut self.spans[list];
        let range = span.begin as usize..(span.begin + span.length) as usize;
        let found = self.place[range.clone()]
            .iter()
            .position(|&p| p as usize == place);
        if let Some(at) = found {
            let (at, last) = (range.start + at, range.end - 1);
            self.place[at] = self.place[last];
            self.value[at] = self.value[last];
            span.length -= 1;
        }
    }

    /// Empties a list.
    pub fn clear(&mut self, list: usize) {
        self.spans[list].length = 0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// They hold what lists of their own would.
        #[test]
        fn lists_hold_what_was_put_in(
            lengths in prop::collection::vec(0u32..4, 1..8),
            steps in prop::collection::vec((0usize..8, 0usize..12, 0u8..8), 0..200),
        ) {
            let mut lists = Lists::with_room(&lengths);
            lists.add([(3, 1.5), (5, 2.5)].into_iter());
            let mut own: Vec<Vec<(usize, f64)>> = vec![Vec::new(); lengths.len()];
            own.push(vec![(3, 1.5), (5, 2.5)]);
            for (number, (list, place, what)) in steps.into_iter().enumerate() {
                let list = list % own.len();
                let known = own[list].iter().position(|e| e.0 == place);
                match (what, known) {
                    (0, _) => {
                        lists.clear(list);
                        own[list].clear();
                    }
                    (1..=3, _) => {
                        lists.remove(list, place);
                        own[list].retain(|e| e.0 != place);
                    }
                    (_, None) => {
                        lists.push(list, place, number as f64);
                        own[list].push((place, number as f64));
                    }
                    (_, Some(_)) => {}
                }
            }
            for (list, own) in own.iter_mut().enumerate() {
                let mut held: Vec<(usize, f64)> = lists.of(list).collect();
                held.sort_by_key(|e| e.0);
                own.sort_by_key(|e| e.0);
                prop_assert_eq!(&held, &*own);
            }
        }
    }
}
