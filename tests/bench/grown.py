"""Firms that have grown: as many quotes as is asked for, with all that comes with them, a hundred a day.

What a firm has is copied from one job that was really quoted, offered, accepted and worked: names, places,
labels, states and days are spread over the copies as they are in an office's years, by hashes, so that a
firm is the same each time. The newest jobs are whole; of older ones only what lists and sums read is there.
"""

from dataclasses import dataclass
from uuid import UUID

from sqlalchemy import Connection, text

A_DAY = 100
"""Quotes that are drafted a day, whatever the firm's age."""
WHOLE = 300
"""How many of the newest jobs have every entry and working."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Firm:
    """A firm that is to grow, and how many quotes it is to have."""

    code: str
    id: UUID
    key_id: UUID
    quotes: int


HASHED = """
CREATE FUNCTION share(i bigint, k int) RETURNS float LANGUAGE sql IMMUTABLE PARALLEL SAFE AS
    'SELECT (hashint8extended(i, k) & 1073741823) / 1073741824.0';
CREATE FUNCTION pick(i bigint, k int, many int) RETURNS int LANGUAGE sql IMMUTABLE PARALLEL SAFE AS
    'SELECT floor(many * power(share(i, k), 2.5))::int';
CREATE FUNCTION made_id(at timestamptz, said text) RETURNS uuid LANGUAGE sql IMMUTABLE PARALLEL SAFE AS $$
    SELECT (lpad(to_hex((extract(epoch FROM at) * 1000)::bigint), 12, '0') || '7' || substr(md5(said), 1, 3)
        || '8' || substr(md5(said), 4, 15))::uuid $$;
CREATE FUNCTION named(n int, last text) RETURNS text LANGUAGE sql IMMUTABLE PARALLEL SAFE AS $$
    SELECT initcap((ARRAY['bren','calo','dorn','elst','farn','grun','hols','ilm','jarn','kelm','lund','morn',
        'nort','olm','pern','quar','rend','stel','torn','ulf'])[1 + mod(n, 20)]
        || (ARRAY['a','e','i','o','u','au','ei','ie'])[1 + mod(n / 20, 8)]
        || (ARRAY['ber','den','gar','hol','lin','mar','ner','rad','sen','wick'])[1 + mod(n / 160, 10)]
        || last) $$;
CREATE UNLOGGED TABLE grown (
    firm_id uuid, key_id uuid, i bigint, h bigint, id uuid, at timestamptz, days float, state text,
    accepted_at timestamptz, job_id uuid, whole boolean DEFAULT false, person text, street text, house text,
    postcode text, town text, reference text);
"""

SEEDS = """
INSERT INTO grown (firm_id, key_id, i, h, id, at, days)
SELECT :firm_id, :key_id, i, h, made_id(at, :code || h), at, days FROM (
    SELECT i, hashint8extended(i, :salt) AS h, (:many - i + 0.5) / :a_day AS days,
        date_trunc('day', now()) - make_interval(secs => 86400 * (:many - i + 0.5) / :a_day) AS at
    FROM generate_series(1, CAST(:many AS bigint)) AS i) AS each
"""

STATES = """
UPDATE grown SET
    person = named(pick(h, 1, 1600), 's') || ' ' || named(pick(h, 2, 1600), ''),
    street = named(pick(h, 3, 800), 'weg'), house = (1 + pick(h, 4, 120))::text,
    postcode = lpad((1000 + pick(h, 5, 400) * 7)::text, 5, '0'), town = named(pick(h, 5, 400), 'hausen'),
    reference = CASE WHEN share(h, 8) < 0.9 THEN 'House ' || i ELSE 'House ' || (i - 3) END,
    accepted_at = at + make_interval(secs => 86400 * 4 * share(h, 6)),
    state = CASE
        WHEN days < 30 AND share(h, 7) < 0.15 THEN 'draft'
        WHEN days < 30 AND share(h, 7) < 0.50 THEN 'offered'
        WHEN share(h, 7) < 0.06 THEN 'draft'
        WHEN share(h, 7) < 0.50 THEN 'offered'
        WHEN share(h, 7) < 0.90 AND days > 4 * share(h, 6) THEN 'accepted'
        WHEN share(h, 7) < 0.90 THEN 'offered'
        WHEN share(h, 7) < 0.95 THEN 'withdrawn' ELSE 'superseded' END
WHERE firm_id = :firm_id
"""

JOBS = """
UPDATE grown SET job_id = made_id(accepted_at, 'job' || h)
WHERE firm_id = :firm_id AND state = 'accepted';
"""

NEWEST = """
UPDATE grown SET whole = true WHERE job_id IN (
    SELECT job_id FROM grown WHERE firm_id = :firm_id AND job_id IS NOT NULL
    ORDER BY job_id DESC LIMIT :whole)
"""

ROWS = {
    "quotes": """
        INSERT INTO quotes (id, firm_id, number, revision, reference, state, version, body, basis, summary,
            short, short_singly, currency, total, created_at, updated_at, offered_at, valid_until,
            accepted_at, withdrawn_at, superseded_at, sealed)
        SELECT g.id, g.firm_id, CASE WHEN g.state <> 'draft' THEN
                'Q-' || extract(year FROM g.at) || '-' || lpad(g.i::text, 7, '0') END,
            1, g.reference, g.state, 3, t.body, CASE WHEN g.whole THEN t.basis ELSE '{}' END, t.summary,
            CASE WHEN g.whole THEN t.short ELSE '{}' END, t.short_singly, t.currency, t.total, g.at, g.at,
            CASE WHEN g.state <> 'draft' THEN g.at END,
            CASE WHEN g.state <> 'draft' THEN g.at::date + 28 END,
            CASE WHEN g.state = 'accepted' THEN g.accepted_at END,
            CASE WHEN g.state = 'withdrawn' THEN g.accepted_at END,
            CASE WHEN g.state = 'superseded' THEN g.accepted_at END, 3
        FROM grown AS g, quotes AS t WHERE t.id = :quote AND g.firm_id = :firm_id ORDER BY g.id""",
    "clients": """
        INSERT INTO clients (quote_id, data, salt, sha256)
        SELECT id, json_build_object('name', person, 'email', lower(replace(person, ' ', '.')) || i
            || '@client.example', 'phone', '+00 000 ' || i, 'address', street || ' ' || house || ', '
            || postcode || ' ' || town), md5(id::text), md5(id::text) || md5(id::text)
        FROM grown WHERE firm_id = :firm_id ORDER BY id""",
    "search_terms": """
        INSERT INTO search_terms (owner_id, firm_id, kind, term)
        SELECT owner, firm_id, kind, left(lower(term), 80) FROM grown,
            unnest(ARRAY[id, job_id]) AS owner,
            LATERAL (VALUES ('reference', reference), ('client', person),
                ('client', split_part(person, ' ', 1)),                ('client', split_part(person, ' ', 2)),
                ('client', replace(person, ' ', '.') || i || '@client.example'),
                ('client', '+00 000 ' || i),
                ('client', 'client'), ('client', 'example'), ('client', '00'), ('client', i::text),
                ('place', street), ('place', house), ('place', postcode), ('place', town),
                ('build_up', 'north wall'), ('build_up', 'attic'),
                ('build_up', CASE WHEN share(h, 9) < 0.01 THEN 'bay window' ELSE 'south wall' END)
            ) AS terms (kind, term)
        WHERE firm_id = :firm_id AND owner IS NOT NULL""",
    "quote_cavities": """
        INSERT INTO quote_cavities (quote_id, position, option, label, element, mass_kg, surveyed, planned,
            count, single, line, single_line)
        SELECT g.id, t.position, t.option, t.label, t.element, t.mass_kg,
            CASE WHEN g.whole THEN t.surveyed ELSE '{}' END,
            CASE WHEN g.whole THEN t.planned ELSE '\\x'::bytea END, t.count, t.single, t.line, t.single_line
        FROM grown AS g, quote_cavities AS t
        WHERE t.quote_id = :quote AND g.firm_id = :firm_id AND g.job_id IS NOT NULL ORDER BY g.id""",
    "acceptances": """
        INSERT INTO acceptances (owner_id, firm_id, quote_id, kind, by, data, salt, sha256, said_at)
        SELECT id, firm_id, id, 'quote', 'office', '{}', md5(id::text), md5(id::text) || md5(id::text),
            accepted_at
        FROM grown WHERE firm_id = :firm_id AND job_id IS NOT NULL""",
    "jobs": """
        INSERT INTO jobs (id, firm_id, quote_id, number, state, created_at)
        SELECT job_id, firm_id, id, 'J-' || extract(year FROM accepted_at) || '-' || lpad(i::text, 7, '0'),
            CASE WHEN days < 20 OR share(h, 10) < 0.001 THEN 'open' WHEN share(h, 10) < 0.95 THEN 'certified'
                ELSE 'closed' END, accepted_at
        FROM grown WHERE firm_id = :firm_id AND job_id IS NOT NULL ORDER BY job_id""",
    "assigned_days": """
        INSERT INTO assigned_days (job_id, firm_id, day, crew_id)
        SELECT job_id, firm_id, accepted_at::date + 3 + day,
            (SELECT id FROM crews WHERE crews.firm_id = grown.firm_id ORDER BY name OFFSET mod(i, 10) LIMIT 1)
        FROM grown, generate_series(0, 1) AS day WHERE firm_id = :firm_id AND job_id IS NOT NULL""",
    "entries": """
        INSERT INTO entries (id, firm_id, job_id, position, kind, happened_at, offset_min, by, received_at,
            key_id, data)
        SELECT t.id, g.firm_id, g.job_id, t.position, t.kind, g.accepted_at, 0, t.by, g.accepted_at,
            g.key_id,
            CASE t.kind WHEN 'delivery' THEN jsonb_set(t.data::jsonb, '{lot}',
                to_jsonb('L-' || g.i / 20))::json ELSE t.data END
        FROM grown AS g, entries AS t
        WHERE t.job_id = :job AND g.firm_id = :firm_id AND g.job_id IS NOT NULL
            AND (g.whole OR t.kind IN ('delivery', 'reclaimed', 'tally'))
        ORDER BY g.job_id, t.position""",
    "certificates": """
        INSERT INTO certificates (id, firm_id, job_id, position, year, serial, number, issued_at, record,
            record_sha256, previous_sha256, chain_sha256, ledger_position, outcome, key_id)
        SELECT made_id(accepted_at + interval '12 days', 'certificate' || h), firm_id, job_id, place, 2000,
            place, :code || '-2000-' || lpad(place::text, 7, '0'), accepted_at + interval '12 days', '{}',
            digest, digest, digest, 9, '{}', key_id
        FROM (SELECT *, row_number() OVER (ORDER BY accepted_at) AS place,
                md5(id::text) || md5(id::text) AS digest
            FROM grown WHERE firm_id = :firm_id AND job_id IS NOT NULL AND days > 20) AS done""",
    "events": """
        INSERT INTO events (id, firm_id, position, kind, subject_id, data, happened_at)
        SELECT made_id(told, kind || h), firm_id, row_number() OVER (ORDER BY told), kind, id,
            json_build_object('state', state, 'quote_id', id), told
        FROM grown, LATERAL (VALUES ('quote.offered', at), ('quote.accepted', accepted_at)) AS of (kind, told)
        WHERE firm_id = :firm_id AND state <> 'draft' AND (kind = 'quote.offered' OR job_id IS NOT NULL)""",
    "stock_lots": """
        INSERT INTO stock_lots (id, firm_id, lot, material, delivered_bags, returned_bags, left_over_bags,
            taken_bags, blown_bags, reclaimed_kg, taken_kg)
        SELECT made_id(at, :code || lot), :firm_id, lot, :material, came, 0, 0, 0, came, 0, 0 FROM (
            SELECT coalesce(data->>'lot', '') AS lot, min(happened_at) AS at,
                (sum(coalesce((data->>'bags')::float, 0)) * 1000000)::bigint AS came
            FROM entries WHERE firm_id = :firm_id AND kind = 'delivery' GROUP BY 1) AS lots""",
    "stock_materials": """
        INSERT INTO stock_materials (firm_id, material, there_bags) VALUES (:firm_id, :material, 0)""",
}


MATERIAL = "SELECT body->>'material' FROM quotes WHERE id = :quote"
CREWS = """
INSERT INTO crews (id, firm_id, name, created_at)
SELECT made_id(now(), :code || n), :firm_id, 'Crew ' || n, now() FROM generate_series(1, 10) AS n
"""


def grow(connection: Connection, firms: list[Firm], *, quote_id: UUID, job_id: UUID) -> None:
    """Let these firms grow by copies of a quote and its job, as a superuser: what freezes rows lets it."""
    connection.execute(text("SET session_replication_role = replica"))
    connection.execute(text("SET work_mem = '256MB'"))
    connection.execute(text("SET maintenance_work_mem = '1GB'"))
    connection.execute(text("SET default_toast_compression = 'lz4'"))
    connection.execute(
        text("UPDATE pg_index SET indisready = false WHERE indrelid = 'search_terms'::regclass")
    )
    connection.exec_driver_sql(HASHED)
    for salt, firm in enumerate(firms):
        of = {
            **{"firm_id": firm.id, "code": firm.code, "key_id": firm.key_id, "salt": salt},
            **{"many": firm.quotes, "a_day": A_DAY, "whole": WHOLE, "quote": quote_id, "job": job_id},
            "material": connection.execute(text(MATERIAL), {"quote": quote_id}).scalar_one(),
        }
        connection.execute(text(CREWS), of)
        for statement in (SEEDS, STATES, JOBS, NEWEST, *ROWS.values()):
            connection.execute(text(statement.rstrip().rstrip(";")), of)
    connection.exec_driver_sql("REINDEX TABLE search_terms")
    connection.exec_driver_sql("ANALYZE")
