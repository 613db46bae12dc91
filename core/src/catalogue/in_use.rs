//! The rows that a plan is worked out with: the built-in ones, or these with the keeper's own.

use super::{Catalogue, OwnRowError};
use serde_json::{Map, Value};
use std::sync::Arc;

/// The rows in use. Clones share one catalogue, whose address changes only when the own rows do.
#[derive(Clone, Debug, Default)]
pub struct InUse {
    own: Map<String, Value>,
    all: Option<Arc<Catalogue>>,
}

impl InUse {
    /// With these own rows.
    ///
    /// # Errors
    /// [`OwnRowError`] for the first row that cannot be used.
    pub fn with(own: &Map<String, Value>) -> Result<Self, OwnRowError> {
        let mut rows = Self::default();
        rows.follow(own).map(|()| rows)
    }

    /// Takes other own rows in; does nothing where they are what they were.
    ///
    /// # Errors
    /// [`OwnRowError`], once for the same rows; the built-in ones are in use then.
    pub fn follow(&mut self, own: &Map<String, Value>) -> Result<(), OwnRowError> {
        if self.own == *own {
            return Ok(());
        }
        self.own.clone_from(own);
        self.all = None;
        if !own.is_empty() {
            self.all = Some(Arc::new(Catalogue::built_in().with_own(own)?));
        }
        Ok(())
    }

    /// All rows.
    pub fn rows(&self) -> &Catalogue {
        self.all.as_deref().unwrap_or_else(|| Catalogue::built_in())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn own(rows: &Value) -> Map<String, Value> {
        rows.as_object().expect("an object").clone()
    }

    #[test]
    fn rows_change_only_when_the_keepers_own_do_and_trouble_is_told_once() {
        let gate = |label: &str| own(&json!({ "gate": [{ "id": "hurdle", "label": label, "widest_m": 3.0, "live": false }] }));
        let mut rows = InUse::default();
        assert!(std::ptr::eq(rows.rows(), Catalogue::built_in()));
        assert_eq!(rows.follow(&gate("Hurdle")), Ok(()));
        let before = Arc::clone(rows.all.as_ref().expect("own rows"));
        assert_eq!(rows.follow(&gate("Hurdle")), Ok(()));
        assert!(std::ptr::eq(rows.rows(), before.as_ref()), "the same rows are not made again");
        assert_eq!(rows.follow(&gate("Hazel hurdle")), Ok(()));
        assert_eq!(rows.rows().label("hurdle"), Some("Hazel hurdle"));
        let unusable = own(&json!({ "gate": [{ "id": "hurdle" }] }));
        assert!(rows.follow(&unusable).is_err());
        assert_eq!(rows.follow(&unusable), Ok(()));
        assert!(std::ptr::eq(rows.rows(), Catalogue::built_in()));
    }
}
