//! A bag planned with chargers, one set after the other.

use crate::assign::options::{Choices, Listing};
use crate::assign::{Planned, planned, planned_better};
use crate::decide::bag::Bag;
use crate::diagnostics::{Findings, Result};
use crate::plan::objective::ObjectiveValue;
use crate::plan::{Plan, Status};
use crate::setup::document::Charger;
use crate::setup::{Setup, check_and_write_out};
use crate::solve::budget::Budget;
use crate::solve::options::{SolveOptions, Wanted};

impl Bag {
    /// The best plan with these chargers: byte for byte that of
    /// [`assign_with`](crate::assign_with) on [`Bag::with_chargers`], sooner, since the devices
    /// and cables are not checked again.
    ///
    /// Any number of threads may ask at once: they share what is known of the ports met so far,
    /// and none waits for another's plan.
    ///
    /// ```
    /// use wattberth::{Bag, Charger, Port, SolveOptions};
    ///
    /// let bag = Bag::from_json(
    ///     r#"{"cables": [{"name": "braided", "count": 2}],
    ///         "devices": [{"name": "laptop", "pd_w": 65, "battery_wh": 56},
    ///                     {"name": "phone", "pd_w": 18, "battery_wh": 15}]}"#,
    /// )?;
    /// let cube = |pd_w: f64| [Charger::new("cube").port(Port::pd("C1", pd_w))];
    /// let plan = bag.plan(&cube(30.0), &SolveOptions::default())?;
    /// assert_eq!(plan.unserved, 1);
    ///
    /// // Another one is planned only as far as it may still be better.
    /// let best = bag.value_of(&plan);
    /// assert!(bag.plan_better_than(&cube(20.0), &best, &SolveOptions::default())?.is_none());
    /// assert!(bag.plan_better_than(&cube(65.0), &best, &SolveOptions::default())?.is_some());
    /// # Ok::<(), wattberth::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Input`](crate::Error::Input) with every fault of the chargers, by path, where
    /// they make no setup with this bag, and where there are too many ways to sit;
    /// [`Error::Options`](crate::Error::Options) where an option is outside its range;
    /// [`Error::Internal`](crate::Error::Internal) where an answer did not survive its check.
    pub fn plan(&self, chargers: &[Charger], options: &SolveOptions) -> Result<Plan> {
        let (setup, choices, wanted, mut budget) = self.begun(chargers, options)?;
        let Planned { plan, .. } = planned(&setup, &choices, wanted, &mut budget)?;
        Ok(plan.signed(&setup))
    }

    /// As [`Bag::plan`], where that plan is better than the `best` that is known, by
    /// [`ObjectiveValue::compare`]; `None` where it is proven that no plan with these chargers
    /// is. That is often known long before there is a plan, and then the search ends.
    ///
    /// Where a limit strikes before it is known, this is the plan that [`Bag::plan`] gives, with
    /// the status [`Feasible`](crate::Status::Feasible).
    ///
    /// # Errors
    /// As [`Bag::plan`].
    pub fn plan_better_than(
        &self,
        chargers: &[Charger],
        best: &ObjectiveValue,
        options: &SolveOptions,
    ) -> Result<Option<Plan>> {
        let (setup, choices, wanted, mut budget) = self.begun(chargers, options)?;
        let planned = planned_better(&setup, &choices, wanted, best.cutoff(), &mut budget)?;
        // Within the tolerance the plan's own times may be longer than the least.
        let may_be = |plan: &Plan| {
            plan.status == Status::Feasible || self.value_of(plan).compare(best).is_lt()
        };
        let better = planned.map(|planned| planned.plan).filter(may_be);
        Ok(better.map(|plan| plan.signed(&setup)))
    }

    /// Where a plan of this bag, with whatever chargers, stands in the plan's order.
    pub fn value_of(&self, plan: &Plan) -> ObjectiveValue {
        ObjectiveValue::of(&self.setup, plan)
    }

    /// The setup with these chargers, which alone are checked where nothing else depends on
    /// them.
    fn checked_with(&self, chargers: &[Charger]) -> Result<Setup> {
        let alone = self.document.trip.is_none() && self.document.shop.is_none();
        let mut written = chargers.to_vec();
        let mut findings = Findings::new();
        let setup = match check_and_write_out(&mut written, &mut findings) {
            Some(specs) if alone && findings.is_empty() => self.with(written, specs)?,
            // What is wrong is said as of the whole document.
            _ => self.with_chargers(chargers.to_vec())?,
        };
        setup.check_plannable()?;
        Ok(setup)
    }

    /// The setup with these chargers, every way to sit in it, and what is left of the limits. What
    /// is known of its ports does not make it cheaper: what a plan may cost does not depend on
    /// who asks for it.
    fn begun(
        &self,
        chargers: &[Charger],
        options: &SolveOptions,
    ) -> Result<(Setup, Choices, Wanted, Budget)> {
        options.check()?;
        let setup = self.checked_with(chargers)?;
        let (mut budget, wanted) = options.begin();
        let listing = Listing::as_anew(self.memory_for(&setup));
        let choices = Choices::known(&setup, listing, &mut budget)?;
        Ok((setup, choices, wanted, budget))
    }
}
