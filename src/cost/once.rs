//! The lines of an order that stand once whatever its starts: spools as a whole, file check, set-up, what is done with each
//! finished piece, and what is bought in.

use rust_decimal::Decimal;

use super::CostError;
use super::charge::{energy_cost, labour_cost, plastic_cost};
use super::decimal::{factor, grams, printed, product, quotient, sum};
use super::sheet::Sheet;
use super::terms::Terms;
use super::words::plain;

const SECONDS_PER_HOUR: Decimal = Decimal::from_parts(3600, 0, 0, false, 0);

impl Sheet {
    /// Puts them; the lines by start are there already.
    pub fn add_once(&mut self, kinds: &[Terms], quantity: u32) -> Result<(), CostError> {
        let Some(first) = kinds.first() else {
            return Ok(());
        };
        let bought: Vec<Decimal> = kinds
            .iter()
            .map(Terms::bought_g)
            .collect::<Result<_, CostError>>()?;
        let bought_g = sum("the plastic", &bought)?;
        let spools = quotient(
            "what can be used of a spool in grams",
            bought_g,
            first.spool_use_g,
        )?;
        self.add_spool_rest(first, bought_g, spools)?;
        self.add_drying(first, spools)?;
        let rates = first.rates;
        for (line, minutes) in [
            ("file_check", rates.file_check_min),
            ("set_up", rates.set_up_min),
        ] {
            let minutes = factor("work on an order in minutes", minutes)?;
            let detail = format!("{} min once per order", plain(minutes, 9));
            self.labour(line, detail, &[minutes], first)?;
        }
        let pieces = Decimal::from(quantity);
        let inspection = factor("the inspection in minutes", rates.inspection_min)?;
        let detail = format!("{pieces} x {} min", plain(inspection, 9));
        self.labour("inspection", detail, &[pieces, inspection], first)?;
        self.add_packing(first, pieces)?;
        self.add_bought_in(first, pieces)
    }

    /// What is left on spools. In stock each spool leaves its rest; a plastic bought for the order is paid by the whole spool. Both
    /// are charged so that the lines of plastic together never fall when more plastic is used.
    fn add_spool_rest(
        &mut self,
        terms: &Terms,
        bought_g: Decimal,
        spools: Decimal,
    ) -> Result<(), CostError> {
        let material = terms.material;
        let spool_g = grams("a spool in grams", material.spool_g)?;
        let (used, spool) = (plain(bought_g, 2), plain(spool_g, 2));
        let (paid_g, detail) = if material.stocked {
            let left = plain(spool_g - terms.spool_use_g, 2);
            (
                product("the plastic", &[spools, spool_g])?,
                format!(
                    "{used} g are {} spools of {spool} g, each of which leaves {left} g",
                    plain(spools, 3)
                ),
            )
        } else {
            let whole = spools.ceil();
            (
                product("the plastic", &[whole, spool_g])?,
                format!("bought for this order: {whole} x {spool} g, of which {used} g are used"),
            )
        };
        let paid = printed(
            "the plastic",
            plastic_cost(paid_g, terms.price_per_kg)?,
            self.digits(),
        )?;
        let rest = (paid - self.amount("plastic")).max(Decimal::ZERO);
        self.print("spool_rest", detail, rest)
    }

    /// Every spool that is begun is dried once.
    fn add_drying(&mut self, terms: &Terms, spools: Decimal) -> Result<(), CostError> {
        let Some((at_c, hours)) = terms.material.drying else {
            let detail = format!("{} needs none", terms.material.id);
            return self.print("drying", detail, Decimal::ZERO);
        };
        let rates = terms.rates;
        let spools = spools.ceil();
        let hours = factor("the drying in hours", hours)?;
        let power_w = factor("the dryer's power in watts", rates.drying_w)?;
        let minutes = factor("the work on drying in minutes", rates.drying_min)?;
        let joules = product("the drying", &[spools, hours, SECONDS_PER_HOUR, power_w])?;
        let work = labour_cost(
            product("the drying", &[spools, minutes])?,
            rates.labour_per_h,
        )?;
        let amount = sum(
            "the drying",
            &[energy_cost(joules, rates.energy_per_kwh)?, work],
        )?;
        let detail = format!(
            "{spools} x ({} h at {at_c} C with {} W at {}/kWh + {} min at {}/h)",
            plain(hours, 2),
            plain(power_w, 2),
            self.price(rates.energy_per_kwh),
            plain(minutes, 9),
            self.price(rates.labour_per_h),
        );
        self.print("drying", detail, amount)
    }

    fn add_packing(&mut self, terms: &Terms, pieces: Decimal) -> Result<(), CostError> {
        let rates = terms.rates;
        let minutes = factor("the packing in minutes", rates.packing_min)?;
        let work = labour_cost(product("labour", &[pieces, minutes])?, rates.labour_per_h)?;
        let amount = sum("the packing", &[work, rates.packing_per_order])?;
        let detail = format!(
            "{pieces} x {} min at {}/h + {} per order",
            plain(minutes, 9),
            self.price(rates.labour_per_h),
            self.price(rates.packing_per_order),
        );
        self.print("packing", detail, amount)
    }

    /// Parts that are bought for every piece.
    fn add_bought_in(&mut self, terms: &Terms, pieces: Decimal) -> Result<(), CostError> {
        let parts = &terms.rates.job.bought_in;
        if parts.is_empty() {
            return self.print("bought_in", "nothing".to_owned(), Decimal::ZERO);
        }
        let prices: Vec<Decimal> = parts.iter().map(|part| part.price).collect();
        let names: Vec<String> = parts
            .iter()
            .map(|part| format!("{} {}", part.what, self.price(part.price)))
            .collect();
        let detail = format!("{pieces} x ({})", names.join(" + "));
        let amount = product(
            "what is bought in",
            &[pieces, sum("what is bought in", &prices)?],
        )?;
        self.print("bought_in", detail, amount)
    }
}
