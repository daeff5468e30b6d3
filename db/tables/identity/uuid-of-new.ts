// The UUID of a row that is inserted, as part of a statement.

/**
 * SQL for a row that may restore a removed one under its id, which then gets back its UUID.
 * @param at SQL for the time of its making; 'NULL' for now
 */
export const uuidOfNew = (table: string, at: string): string =>
  `coalesce((SELECT uuid FROM other_identities
     WHERE of_table = '${table}' AND row_id = @id AND standing = 'removed'), uuid7(${at}))`
