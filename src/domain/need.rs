//! What the table needs, food by food and week by week.

/// A unit the kitchen uses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Unit {
    Kilograms,
    Litres,
    Heads,
    Bunches,
}

impl Unit {
    /// As written in files and reports.
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::Kilograms => "kg",
            Unit::Litres => "l",
            Unit::Heads => "heads",
            Unit::Bunches => "bunches",
        }
    }
}

/// A food and how much of it is needed.
#[derive(Clone, Debug, PartialEq)]
pub struct Food {
    pub name: String,
    pub unit: Unit,
    /// What it would cost to buy in, money per unit.
    pub price_money: f64,
    /// For each week of the horizon, in units.
    pub floor: Vec<f64>,
    /// For each week of the horizon, in units; at least the floor.
    pub wish: Vec<f64>,
    /// Weeks of the horizon in which the floor is a must: a plan that misses it is none, unless the
    /// year is carried on from a plan, where a must is a floor that is dear to miss.
    pub must: Vec<bool>,
    /// Extra cost of each unit short of the floor, money (on top of the price not earned), where
    /// the floor is no must.
    pub short_money: f64,
    /// Most of a week's wish that one crop may supply, 0 to 1.
    pub single_crop_share: f64,
}

impl Food {
    /// A unit short of a must costs this many times the food's price more (an estimate: enough to
    /// outweigh all else that could be had from the ground instead). No plan is shown that pays it,
    /// but for a year carried on.
    pub const MUST_TIMES: f64 = 100.0;
    /// Price that a must counts with at least, money per unit (an estimate).
    pub const MUST_LEAST_MONEY: f64 = 1.0;

    /// Extra cost of each unit short of the floor in that week of the horizon, money.
    pub fn short_money_in(&self, week: usize) -> f64 {
        if self.must[week] {
            let price = self.price_money.max(Food::MUST_LEAST_MONEY);
            self.short_money + Food::MUST_TIMES * price
        } else {
            self.short_money
        }
    }
}

/// The weekly band for the total worth of what is eaten.
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    /// For each week of the horizon, money per week.
    pub low_money: Vec<f64>,
    pub high_money: Vec<f64>,
    /// Cost of each unit of money below the band.
    pub below_cost: f64,
}
