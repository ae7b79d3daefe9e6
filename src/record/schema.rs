//! The record's layout in SQLite and its migrations. A migration is only ever added, never edited.

use rusqlite_migration::{M, Migrations};

const STEPS: &[M<'static>] = &[
    M::up(include_str!("schema.sql")).foreign_key_check(),
    M::up(include_str!("schema_holds.sql")).foreign_key_check(),
    M::up(include_str!("schema_instruments.sql")).foreign_key_check(),
    M::up(include_str!("schema_photos.sql")).foreign_key_check(),
];

/// The migrations from an empty file to the newest layout, in order.
pub(super) const MIGRATIONS: Migrations<'static> = Migrations::from_slice(STEPS);

/// The newest layout this program knows, as kept in SQLite's `user_version`.
pub(super) const KNOWN: i64 = STEPS.len() as i64;

/// Marks a SQLite file as a Gudgeon record ("GDON" in its header).
pub(super) const APPLICATION_ID: i64 = 0x4744_4F4E;

#[cfg(test)]
mod tests {
    #[test]
    fn every_migration_applies() {
        assert_eq!(super::MIGRATIONS.validate(), Ok(()));
    }
}
