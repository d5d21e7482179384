//! When a planting can be harvested, season by season.

use super::year::Planting;
use crate::units::Week;

/// Weeks without anything ripe that end a season: a crop picked every few weeks has one, a perennial one a year
/// (estimate).
const REST: i32 = 8;

impl Planting {
    /// First and last week of each of its seasons of harvest, in order of time.
    pub fn seasons(&self) -> Vec<(Week, Week)> {
        let mut weeks: Vec<(Week, Week)> = (self.lots.iter())
            .map(|lot| (lot.from, lot.fresh_until))
            .collect();
        weeks.sort();
        let mut seasons: Vec<(Week, Week)> = Vec::new();
        for (from, until) in weeks {
            match seasons.last_mut() {
                Some((_, last)) if from.since(*last) <= REST => *last = until.max(*last),
                _ => seasons.push((from, until)),
            }
        }
        seasons
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pickings_make_one_season_and_two_springs_make_two() {
        let planting = |lots: &str| -> Planting {
            let text = format!(
                "{{id: P001, crop: rhubarb, bed: a, strips: [1], area_m2: 0.6, sown: 2020-W10, planted: 2020-W10, \
                 cleared: 2028-W22, yield_share: 1.0, plant_share: 1.0, lots: [{lots}]}}"
            );
            serde_yaml::from_str(&text).expect("a planting")
        };
        let lot = |week: &str, fresh: &str| {
            format!("{{from: {week}, fresh_until: {fresh}, until: {fresh}, amount: 1.0}}")
        };
        let week = |text: &str| -> Week { text.parse().unwrap() };
        assert_eq!(planting("").seasons(), []);
        let lots = [
            ("2027-W13", "2027-W13"),
            ("2027-W16", "2027-W16"),
            ("2027-W24", "2027-W26"),
            ("2028-W13", "2028-W14"),
        ];
        let all: Vec<String> = lots.iter().map(|(from, fresh)| lot(from, fresh)).collect();
        assert_eq!(
            planting(&all.join(", ")).seasons(),
            [
                (week("2027-W13"), week("2027-W26")),
                (week("2028-W13"), week("2028-W14"))
            ]
        );
    }
}
