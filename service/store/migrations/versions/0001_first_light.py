"""First light."""

from collections.abc import Iterable

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply."""
    op.create_table(
        "files",
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("owner_id", sa.Uuid(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=True),
        sa.Column("object_key", sa.String(length=300), nullable=True),
        sa.Column("size_bytes", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("erased_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_files_sha256")),
        sa.CheckConstraint(
            "(content IS NULL OR object_key IS NULL) "
            "AND (content IS NULL AND object_key IS NULL) = (erased_at IS NOT NULL)",
            name=op.f("ck_files_erased"),
        ),
        sa.PrimaryKeyConstraint("kind", "owner_id", name="pk_files"),
    )
    op.create_table(
        "firms",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("code", sa.String(length=40), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_firms"),
        sa.UniqueConstraint("code", name="uq_firms_code"),
    )
    op.create_table(
        "crews",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_crews_firm_id"),
        sa.PrimaryKeyConstraint("id", name="pk_crews"),
        sa.UniqueConstraint("firm_id", "name", name="uq_crews_firm_id_name"),
    )
    op.create_table(
        "keys",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("crew_id", sa.Uuid(), nullable=True),
        sa.Column("prefix", sa.String(length=12), nullable=False),
        sa.Column("label", sa.String(length=80), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("roles", sa.JSON(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_used_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("first_id", sa.Uuid(), nullable=True),
        sa.CheckConstraint("length(digest) = 64", name=op.f("ck_keys_digest")),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_keys_firm_id"),
        sa.ForeignKeyConstraint(["first_id"], ["keys.id"], name="fk_keys_first_id"),
        sa.ForeignKeyConstraint(["crew_id"], ["crews.id"], name="fk_keys_crew_id"),
        sa.PrimaryKeyConstraint("id", name="pk_keys"),
        sa.UniqueConstraint("prefix", name="uq_keys_prefix"),
    )
    op.create_index("ix_keys_firm_id_id", "keys", ["firm_id", "id"])
    op.create_index("ix_keys_crew_id_id", "keys", ["crew_id", "id"])
    op.create_table(
        "build_ups",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("code", sa.String(length=40), nullable=False),
        sa.Column("in_force_from", sa.Date(), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_build_ups_firm_id"),
        sa.PrimaryKeyConstraint("id", name="pk_build_ups"),
    )
    op.create_index(
        "ix_build_ups_firm_id_code_in_force_from", "build_ups", ["firm_id", "code", "in_force_from"]
    )
    op.create_table(
        "lances",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("code", sa.String(length=40), nullable=False),
        sa.Column("in_force_from", sa.Date(), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_lances_firm_id"),
        sa.PrimaryKeyConstraint("id", name="pk_lances"),
    )
    op.create_index("ix_lances_firm_id_code_in_force_from", "lances", ["firm_id", "code", "in_force_from"])

    op.create_table(
        "materials",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("code", sa.String(length=40), nullable=False),
        sa.Column("in_force_from", sa.Date(), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_materials_firm_id"),
        sa.PrimaryKeyConstraint("id", name="pk_materials"),
    )
    op.create_index(
        "ix_materials_firm_id_code_in_force_from", "materials", ["firm_id", "code", "in_force_from"]
    )

    op.create_table(
        "practices",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("code", sa.String(length=40), nullable=False),
        sa.Column("in_force_from", sa.Date(), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_practices_firm_id"),
        sa.PrimaryKeyConstraint("id", name="pk_practices"),
    )
    op.create_index(
        "ix_practices_firm_id_code_in_force_from", "practices", ["firm_id", "code", "in_force_from"]
    )

    op.create_table(
        "price_lists",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("code", sa.String(length=40), nullable=False),
        sa.Column("in_force_from", sa.Date(), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_price_lists_firm_id"),
        sa.PrimaryKeyConstraint("id", name="pk_price_lists"),
    )
    op.create_index(
        "ix_price_lists_firm_id_code_in_force_from", "price_lists", ["firm_id", "code", "in_force_from"]
    )

    op.create_table(
        "quotes",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.String(length=40), nullable=True),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("revises", sa.Uuid(), nullable=True),
        sa.Column("reference", sa.String(length=80), nullable=False),
        sa.Column("state", sa.String(length=12), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.Column("basis", sa.JSON(), nullable=False),
        sa.Column("summary", sa.JSON(), nullable=False),
        sa.Column("short", sa.JSON(), nullable=False),
        sa.Column("short_singly", sa.JSON(), nullable=True),
        sa.Column("currency", sa.String(length=3), nullable=False),
        sa.Column("total", sa.BigInteger(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("updated_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("offered_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("valid_until", sa.Date(), nullable=True),
        sa.Column("accepted_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("withdrawn_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("superseded_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("superseded_by", sa.Uuid(), nullable=True),
        sa.Column("sealed", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "state IN ('draft', 'offered', 'accepted', 'withdrawn', 'superseded')",
            name=op.f("ck_quotes_state"),
        ),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_quotes_firm_id"),
        sa.PrimaryKeyConstraint("id", name="pk_quotes"),
        sa.UniqueConstraint("firm_id", "number", "revision", name="uq_quotes_firm_id_number_revision"),
    )
    op.create_index("ix_quotes_firm_id_id", "quotes", ["firm_id", "id"])
    op.create_index("ix_quotes_firm_id_state_id", "quotes", ["firm_id", "state", "id"])
    op.create_index(
        "ix_quotes_firm_id_state_valid_until_id", "quotes", ["firm_id", "state", "valid_until", "id"]
    )

    op.create_table(
        "search_terms",
        sa.Column("owner_id", sa.Uuid(), nullable=False),
        sa.Column("kind", sa.String(length=12), nullable=False),
        sa.Column(
            "term",
            sa.String(length=80).with_variant(sa.String(length=80, collation="C"), "postgresql"),
            nullable=False,
        ),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_search_terms_firm_id"),
        sa.PrimaryKeyConstraint("owner_id", "kind", "term", name="pk_search_terms"),
    )
    op.create_index(
        "ix_search_terms_firm_id_kind_term_owner_id", "search_terms", ["firm_id", "kind", "term", "owner_id"]
    )

    op.create_table(
        "series",
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("year", sa.Integer(), nullable=False),
        sa.Column("last", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_series_firm_id"),
        sa.PrimaryKeyConstraint("firm_id", "kind", "year", name="pk_series"),
    )
    figures = ("delivered_bags", "returned_bags", "left_over_bags", "taken_bags", "blown_bags")
    op.create_table(
        "stock_lots",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("lot", sa.String(length=80), nullable=False),
        sa.Column("material", sa.String(length=80), nullable=False),
        *(
            sa.Column(name, sa.BigInteger(), nullable=False)
            for name in (*figures, "reclaimed_kg", "taken_kg")
        ),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_stock_lots_firm_id"),
        sa.PrimaryKeyConstraint("id", name="pk_stock_lots"),
        sa.UniqueConstraint("firm_id", "lot", "material", name="uq_stock_lots_firm_id_lot_material"),
    )
    op.create_index("ix_stock_lots_firm_id_id", "stock_lots", ["firm_id", "id"])

    op.create_table(
        "stock_materials",
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("material", sa.String(length=80), nullable=False),
        sa.Column("there_bags", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_stock_materials_firm_id"),
        sa.PrimaryKeyConstraint("firm_id", "material", name="pk_stock_materials"),
    )
    op.create_table(
        "answers",
        sa.Column("key_id", sa.Uuid(), nullable=False),
        sa.Column("idempotency_key", sa.String(length=200), nullable=False),
        sa.Column("request_sha256", sa.String(length=64), nullable=False),
        sa.Column("answer", sa.JSON(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("length(request_sha256) = 64", name=op.f("ck_answers_request_sha256")),
        sa.ForeignKeyConstraint(["key_id"], ["keys.id"], name="fk_answers_key_id"),
        sa.PrimaryKeyConstraint("key_id", "idempotency_key", name="pk_answers"),
    )
    op.create_index("ix_answers_key_id_created_at", "answers", ["key_id", "created_at"])

    op.create_table(
        "acceptances",
        sa.Column("owner_id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("quote_id", sa.Uuid(), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("by", sa.String(length=12), nullable=False),
        sa.Column("data", sa.JSON(none_as_null=True), nullable=True),
        sa.Column("salt", sa.String(length=32), nullable=True),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("document_sha256", sa.String(length=64), nullable=True),
        sa.Column("option", sa.String(length=1), nullable=True),
        sa.Column("said_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("link_id", sa.Uuid(), nullable=True),
        sa.Column("key_id", sa.Uuid(), nullable=True),
        sa.Column("erased_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("\"by\" IN ('client', 'office')", name=op.f("ck_acceptances_by")),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_acceptances_sha256")),
        sa.CheckConstraint("length(document_sha256) = 64", name=op.f("ck_acceptances_document_sha256")),
        sa.CheckConstraint(
            "(data IS NULL) = (erased_at IS NOT NULL) AND (salt IS NULL) = (erased_at IS NOT NULL)",
            name=op.f("ck_acceptances_erased"),
        ),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_acceptances_firm_id"),
        sa.ForeignKeyConstraint(["quote_id"], ["quotes.id"], name="fk_acceptances_quote_id"),
        sa.ForeignKeyConstraint(["key_id"], ["keys.id"], name="fk_acceptances_key_id"),
        sa.PrimaryKeyConstraint("owner_id", name="pk_acceptances"),
    )
    op.create_index("ix_acceptances_quote_id", "acceptances", ["quote_id"])

    op.create_table(
        "jobs",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("quote_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.String(length=40), nullable=False),
        sa.Column("state", sa.String(length=12), nullable=False),
        sa.Column("moved_on_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("ready_since", sa.DateTime(timezone=True), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("state IN ('open', 'certified', 'closed')", name=op.f("ck_jobs_state")),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_jobs_firm_id"),
        sa.ForeignKeyConstraint(["quote_id"], ["quotes.id"], name="fk_jobs_quote_id"),
        sa.PrimaryKeyConstraint("id", name="pk_jobs"),
        sa.UniqueConstraint("firm_id", "number", name="uq_jobs_firm_id_number"),
        sa.UniqueConstraint("quote_id", name="uq_jobs_quote_id"),
    )
    op.create_index("ix_jobs_firm_id_id", "jobs", ["firm_id", "id"])
    op.create_index("ix_jobs_firm_id_state_id", "jobs", ["firm_id", "state", "id"])

    op.create_table(
        "clients",
        sa.Column("quote_id", sa.Uuid(), nullable=False),
        sa.Column("data", sa.JSON(), nullable=True),
        sa.Column("salt", sa.String(length=32), nullable=True),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("erased_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("reason", sa.Text(), nullable=True),
        sa.Column("key_id", sa.Uuid(), nullable=True),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_clients_sha256")),
        sa.CheckConstraint(
            "(data IS NULL) = (erased_at IS NOT NULL) AND (salt IS NULL) = (erased_at IS NOT NULL)",
            name=op.f("ck_clients_erased"),
        ),
        sa.ForeignKeyConstraint(["key_id"], ["keys.id"], name="fk_clients_key_id"),
        sa.ForeignKeyConstraint(["quote_id"], ["quotes.id"], name="fk_clients_quote_id"),
        sa.PrimaryKeyConstraint("quote_id", name="pk_clients"),
    )
    op.create_table(
        "imports",
        sa.Column("quote_id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("chain", sa.JSON(), nullable=False),
        sa.Column("imported_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_imports_firm_id"),
        sa.ForeignKeyConstraint(["quote_id"], ["quotes.id"], name="fk_imports_quote_id"),
        sa.PrimaryKeyConstraint("quote_id", name="pk_imports"),
    )
    op.create_table(
        "anchors",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("certificates", sa.Integer(), nullable=False),
        sa.Column("notes", sa.Integer(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_anchors_firm_id"),
        sa.PrimaryKeyConstraint("id", name="pk_anchors"),
        sa.UniqueConstraint("firm_id", "day", name="uq_anchors_firm_id_day"),
    )
    op.create_table(
        "journal",
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("subject_id", sa.Uuid(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("chain_sha256", sa.String(length=64), nullable=False),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_journal_sha256")),
        sa.CheckConstraint("length(chain_sha256) = 64", name=op.f("ck_journal_chain_sha256")),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_journal_firm_id"),
        sa.PrimaryKeyConstraint("firm_id", "position", name="pk_journal"),
    )
    op.create_index("ix_journal_subject_id_kind_position", "journal", ["subject_id", "kind", "position"])
    op.create_table(
        "seals",
        sa.Column("quote_id", sa.Uuid(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("subject", sa.String(length=64), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("chain_sha256", sa.String(length=64), nullable=False),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_seals_sha256")),
        sa.CheckConstraint("length(chain_sha256) = 64", name=op.f("ck_seals_chain_sha256")),
        sa.ForeignKeyConstraint(["quote_id"], ["quotes.id"], name="fk_seals_quote_id"),
        sa.PrimaryKeyConstraint("quote_id", "position", name="pk_seals"),
        sa.UniqueConstraint("quote_id", "kind", "subject", name="uq_seals_quote_id_kind_subject"),
    )
    op.create_table(
        "quote_options",
        sa.Column("quote_id", sa.Uuid(), nullable=False),
        sa.Column("option", sa.String(length=1), nullable=False),
        sa.Column("text", sa.String(length=200), nullable=False),
        sa.Column("body", sa.JSON(), nullable=False),
        sa.Column("basis", sa.JSON(), nullable=False),
        sa.Column("summary", sa.JSON(), nullable=False),
        sa.Column("short", sa.JSON(), nullable=False),
        sa.Column("short_singly", sa.JSON(), nullable=True),
        sa.Column("total", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["quote_id"], ["quotes.id"], name="fk_quote_options_quote_id"),
        sa.PrimaryKeyConstraint("quote_id", "option", name="pk_quote_options"),
    )
    op.create_table(
        "quote_cavities",
        sa.Column("quote_id", sa.Uuid(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("option", sa.String(length=1), nullable=False),
        sa.Column("label", sa.String(length=80), nullable=False),
        sa.Column("element", sa.String(length=12), nullable=False),
        sa.Column("mass_kg", sa.Float(), nullable=False),
        sa.Column("surveyed", sa.JSON(), nullable=False),
        sa.Column("planned", sa.LargeBinary(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("single", sa.LargeBinary(), nullable=True),
        sa.Column("line", sa.JSON(), nullable=False),
        sa.Column("single_line", sa.JSON(), nullable=True),
        sa.ForeignKeyConstraint(["quote_id"], ["quotes.id"], name="fk_quote_cavities_quote_id"),
        sa.PrimaryKeyConstraint("quote_id", "position", name="pk_quote_cavities"),
        sa.UniqueConstraint("quote_id", "option", "label", name="uq_quote_cavities_quote_id_option_label"),
    )
    op.create_table(
        "certificates",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("year", sa.Integer(), nullable=False),
        sa.Column("serial", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(length=40), nullable=False),
        sa.Column("issued_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("record", sa.LargeBinary(), nullable=False),
        sa.Column("record_sha256", sa.String(length=64), nullable=False),
        sa.Column("previous_sha256", sa.String(length=64), nullable=False),
        sa.Column("chain_sha256", sa.String(length=64), nullable=False),
        sa.Column("ledger_position", sa.Integer(), nullable=False),
        sa.Column("outcome", sa.JSON(), nullable=False),
        sa.Column("key_id", sa.Uuid(), nullable=False),
        sa.CheckConstraint("length(record_sha256) = 64", name=op.f("ck_certificates_record_sha256")),
        sa.CheckConstraint("length(previous_sha256) = 64", name=op.f("ck_certificates_previous_sha256")),
        sa.CheckConstraint("length(chain_sha256) = 64", name=op.f("ck_certificates_chain_sha256")),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_certificates_firm_id"),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name="fk_certificates_job_id"),
        sa.ForeignKeyConstraint(["key_id"], ["keys.id"], name="fk_certificates_key_id"),
        sa.PrimaryKeyConstraint("id", name="pk_certificates"),
        sa.UniqueConstraint("firm_id", "position", name="uq_certificates_firm_id_position"),
        sa.UniqueConstraint("firm_id", "year", "serial", name="uq_certificates_firm_id_year_serial"),
        sa.UniqueConstraint("number", name="uq_certificates_number"),
    )
    op.create_index("ix_certificates_job_id", "certificates", ["job_id"])

    op.create_table(
        "supersessions",
        sa.Column("certificate_id", sa.Uuid(), nullable=False),
        sa.Column("superseded_by", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(
            ["certificate_id"], ["certificates.id"], name="fk_supersessions_certificate_id"
        ),
        sa.ForeignKeyConstraint(
            ["superseded_by"], ["certificates.id"], name="fk_supersessions_superseded_by"
        ),
        sa.PrimaryKeyConstraint("certificate_id", name="pk_supersessions"),
    )

    op.create_table(
        "concessions",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("condition", sa.String(length=40), nullable=False),
        sa.Column("cavity", sa.String(length=80), nullable=True),
        sa.Column("subjects", sa.JSON(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("granted_by", sa.String(length=80), nullable=False),
        sa.Column("granted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("key_id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_concessions_firm_id"),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name="fk_concessions_job_id"),
        sa.ForeignKeyConstraint(["key_id"], ["keys.id"], name="fk_concessions_key_id"),
        sa.PrimaryKeyConstraint("id", name="pk_concessions"),
    )
    op.create_index("ix_concessions_job_id", "concessions", ["job_id"])

    op.create_table(
        "assignments",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("days", sa.JSON(), nullable=False),
        sa.Column("assigned_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("key_id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_assignments_firm_id"),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name="fk_assignments_job_id"),
        sa.ForeignKeyConstraint(["key_id"], ["keys.id"], name="fk_assignments_key_id"),
        sa.PrimaryKeyConstraint("id", name="pk_assignments"),
    )
    op.create_index("ix_assignments_job_id_id", "assignments", ["job_id", "id"])

    op.create_table(
        "assigned_days",
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("crew_id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name="fk_assigned_days_job_id"),
        sa.ForeignKeyConstraint(["crew_id"], ["crews.id"], name="fk_assigned_days_crew_id"),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_assigned_days_firm_id"),
        sa.PrimaryKeyConstraint("job_id", "day", "crew_id", name="pk_assigned_days"),
    )
    op.create_index("ix_assigned_days_firm_id_day", "assigned_days", ["firm_id", "day"])
    op.create_index("ix_assigned_days_crew_id_day", "assigned_days", ["crew_id", "day"])

    op.create_table(
        "entries",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("happened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("offset_min", sa.Integer(), nullable=False),
        sa.Column("by", sa.String(length=80), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("key_id", sa.Uuid(), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.Column("corrects", sa.Uuid(), nullable=True),
        sa.ForeignKeyConstraint(
            ["job_id", "corrects"], ["entries.job_id", "entries.id"], name="fk_entries_corrects"
        ),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_entries_firm_id"),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name="fk_entries_job_id"),
        sa.ForeignKeyConstraint(["key_id"], ["keys.id"], name="fk_entries_key_id"),
        sa.PrimaryKeyConstraint("job_id", "id", name="pk_entries"),
        sa.UniqueConstraint("job_id", "corrects", name="uq_entries_job_id_corrects"),
        sa.UniqueConstraint("job_id", "position", name="uq_entries_job_id_position"),
    )
    op.create_index("ix_entries_firm_id_kind", "entries", ["firm_id", "kind"])
    op.create_index("ix_entries_firm_id_received_at", "entries", ["firm_id", "received_at"])
    op.create_table(
        "links",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("owner_id", sa.Uuid(), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("kind IN ('quote', 'certificate')", name=op.f("ck_links_kind")),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_links_firm_id"),
        sa.PrimaryKeyConstraint("id", name="pk_links"),
    )
    op.create_table(
        "photos",
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("sent_sha256", sa.String(length=64), nullable=False),
        sa.Column("cavity", sa.String(length=80), nullable=True),
        sa.Column("caption", sa.Text(), nullable=True),
        sa.Column("content", sa.LargeBinary(), nullable=True),
        sa.Column("object_key", sa.String(length=300), nullable=True),
        sa.Column("size_bytes", sa.Integer(), nullable=False),
        sa.Column("width_px", sa.Integer(), nullable=False),
        sa.Column("height_px", sa.Integer(), nullable=False),
        sa.Column("taken_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("latitude", sa.Float(), nullable=True),
        sa.Column("longitude", sa.Float(), nullable=True),
        sa.Column("place_sha256", sa.String(length=64), nullable=True),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("key_id", sa.Uuid(), nullable=False),
        sa.Column("erased_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_photos_sha256")),
        sa.CheckConstraint("length(sent_sha256) = 64", name=op.f("ck_photos_sent_sha256")),
        sa.CheckConstraint("length(place_sha256) = 64", name=op.f("ck_photos_place_sha256")),
        sa.CheckConstraint(
            "(content IS NULL OR object_key IS NULL) "
            "AND (content IS NULL AND object_key IS NULL) = (erased_at IS NOT NULL) "
            "AND (latitude IS NULL OR erased_at IS NULL) "
            "AND (longitude IS NULL OR erased_at IS NULL)",
            name=op.f("ck_photos_erased"),
        ),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_photos_firm_id"),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name="fk_photos_job_id"),
        sa.ForeignKeyConstraint(["key_id"], ["keys.id"], name="fk_photos_key_id"),
        sa.PrimaryKeyConstraint("job_id", "id", name="pk_photos"),
    )
    op.create_table(
        "withdrawals",
        sa.Column("certificate_id", sa.Uuid(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("withdrawn_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("key_id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(
            ["certificate_id"], ["certificates.id"], name="fk_withdrawals_certificate_id"
        ),
        sa.ForeignKeyConstraint(["key_id"], ["keys.id"], name="fk_withdrawals_key_id"),
        sa.PrimaryKeyConstraint("certificate_id", name="pk_withdrawals"),
    )
    op.create_table(
        "tasks",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("subject_id", sa.Uuid(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("due_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("leased_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("last_error", sa.JSON(), nullable=True),
        sa.Column("dead_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("request_id", sa.String(length=64), nullable=True),
        sa.Column("trace", sa.String(length=55), nullable=True),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_tasks_firm_id"),
        sa.PrimaryKeyConstraint("id", name="pk_tasks"),
        sa.UniqueConstraint("kind", "subject_id", name="uq_tasks_kind_subject_id"),
    )
    op.create_index("ix_tasks_dead_at_due_at", "tasks", ["dead_at", "due_at"])

    op.create_table(
        "spent",
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("done", sa.Integer(), nullable=False),
        sa.Column("failed", sa.Integer(), nullable=False),
        sa.Column("seconds", sa.Float(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_spent_firm_id"),
        sa.PrimaryKeyConstraint("firm_id", "kind", name="pk_spent"),
    )
    op.create_table(
        "events",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("subject_id", sa.Uuid(), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.Column("happened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("chain_sha256", sa.String(length=64), nullable=False),
        sa.CheckConstraint("length(chain_sha256) = 64", name=op.f("ck_events_chain_sha256")),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_events_firm_id"),
        sa.PrimaryKeyConstraint("id", name="pk_events"),
        sa.UniqueConstraint("firm_id", "position", name="uq_events_firm_id_position"),
    )
    op.create_table(
        "subscriptions",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("code", sa.String(length=40), nullable=False),
        sa.Column("url", sa.String(length=500), nullable=False),
        sa.Column("kinds", sa.JSON(), nullable=False),
        sa.Column("secret", sa.JSON(), nullable=False),
        sa.Column("old_secret", sa.JSON(), nullable=True),
        sa.Column("old_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("delivered_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_subscriptions_firm_id"),
        sa.PrimaryKeyConstraint("id", name="pk_subscriptions"),
        sa.UniqueConstraint("firm_id", "code", name="uq_subscriptions_firm_id_code"),
    )
    op.create_table(
        "deliveries",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("subscription_id", sa.Uuid(), nullable=False),
        sa.Column("event_id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_deliveries_firm_id"),
        sa.ForeignKeyConstraint(
            ["subscription_id"], ["subscriptions.id"], name="fk_deliveries_subscription_id"
        ),
        sa.ForeignKeyConstraint(["event_id"], ["events.id"], name="fk_deliveries_event_id"),
        sa.PrimaryKeyConstraint("id", name="pk_deliveries"),
    )
    op.create_index("ix_deliveries_subscription_id", "deliveries", ["subscription_id"])
    op.create_index("ix_deliveries_firm_id", "deliveries", ["firm_id"])

    op.create_table(
        "supplements",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("serial", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(length=60), nullable=False),
        sa.Column("by", sa.String(length=80), nullable=False),
        sa.Column("remark", sa.Text(), nullable=True),
        sa.Column("counts", sa.JSON(), nullable=False),
        sa.Column("dropped", sa.JSON(), nullable=False),
        sa.Column("lines", sa.JSON(), nullable=False),
        sa.Column("hold_points", sa.JSON(), nullable=False),
        sa.Column("summary", sa.JSON(), nullable=False),
        sa.Column("sent_sha256", sa.String(length=64), nullable=False),
        sa.Column("proposed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("key_id", sa.Uuid(), nullable=False),
        sa.CheckConstraint("length(sent_sha256) = 64", name=op.f("ck_supplements_sent_sha256")),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_supplements_firm_id"),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name="fk_supplements_job_id"),
        sa.ForeignKeyConstraint(["key_id"], ["keys.id"], name="fk_supplements_key_id"),
        sa.PrimaryKeyConstraint("job_id", "id", name="pk_supplements"),
        sa.UniqueConstraint("job_id", "serial", name="uq_supplements_job_id_serial"),
    )
    op.create_table(
        "supplement_cavities",
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("supplement_id", sa.Uuid(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("label", sa.String(length=80), nullable=False),
        sa.Column("origin", sa.String(length=80), nullable=False),
        sa.Column("element", sa.String(length=12), nullable=False),
        sa.Column("mass_kg", sa.Float(), nullable=False),
        sa.Column("surveyed", sa.JSON(), nullable=False),
        sa.Column("planned", sa.LargeBinary(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("single", sa.LargeBinary(), nullable=True),
        sa.Column("line", sa.JSON(), nullable=False),
        sa.Column("single_line", sa.JSON(), nullable=True),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_supplement_cavities_firm_id"),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name="fk_supplement_cavities_job_id"),
        sa.ForeignKeyConstraint(
            ["job_id", "supplement_id"],
            ["supplements.job_id", "supplements.id"],
            name="fk_supplement_cavities_job_id_supplement_id",
        ),
        sa.PrimaryKeyConstraint("job_id", "supplement_id", "position", name="pk_supplement_cavities"),
        sa.UniqueConstraint(
            "job_id", "supplement_id", "label", name="uq_supplement_cavities_job_id_supplement_id_label"
        ),
    )
    op.create_table(
        "supplement_steps",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("firm_id", sa.Uuid(), nullable=False),
        sa.Column("job_id", sa.Uuid(), nullable=False),
        sa.Column("supplement_id", sa.Uuid(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=12), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.Column("taken_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("key_id", sa.Uuid(), nullable=True),
        sa.CheckConstraint(
            "kind IN ('proposal', 'offer', 'acceptance', 'refusal', 'withdrawal', 'takeover')",
            name=op.f("ck_supplement_steps_kind"),
        ),
        sa.ForeignKeyConstraint(["firm_id"], ["firms.id"], name="fk_supplement_steps_firm_id"),
        sa.ForeignKeyConstraint(["key_id"], ["keys.id"], name="fk_supplement_steps_key_id"),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.id"], name="fk_supplement_steps_job_id"),
        sa.ForeignKeyConstraint(
            ["job_id", "supplement_id"],
            ["supplements.job_id", "supplements.id"],
            name="fk_supplement_steps_job_id_supplement_id",
        ),
        sa.PrimaryKeyConstraint("id", name="pk_supplement_steps"),
        sa.UniqueConstraint(
            "job_id",
            "supplement_id",
            "position",
            name="uq_supplement_steps_job_id_supplement_id_position",
        ),
    )
    _freeze()
    _count_tasks()
    if op.get_bind().dialect.name == "postgresql":
        _isolate_tenants()


FIGURES = """
SELECT CAST(kind AS text) AS kind, sum(waiting) AS waiting, sum(dead) AS dead, min(oldest) AS oldest,
    sum(done) AS done, sum(failed) AS failed, sum(seconds) AS seconds
FROM (
    SELECT kind, CASE WHEN dead_at IS NULL THEN 1 ELSE 0 END AS waiting,
        CASE WHEN dead_at IS NULL THEN 0 ELSE 1 END AS dead,
        CASE WHEN dead_at IS NULL THEN created_at END AS oldest,
        0 AS done, 0 AS failed, 0 AS seconds
    FROM tasks
    UNION ALL SELECT kind, 0, 0, NULL, done, failed, seconds FROM spent
) AS counted GROUP BY kind
"""


def _count_tasks() -> None:
    """Let everybody have the figures of all firms together, and nobody another firm's rows."""
    counted = FIGURES
    if op.get_bind().dialect.name == "postgresql":
        op.execute(
            "CREATE FUNCTION counted_tasks() RETURNS TABLE (kind text, waiting bigint, dead bigint, "
            "oldest timestamptz, done bigint, failed bigint, seconds double precision) "
            "LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$ "
            "#variable_conflict use_column\n"
            "DECLARE acted_for text := coalesce(current_setting('baywright.firm', true), ''); "
            "BEGIN PERFORM set_config('baywright.firm', 'every', true); "
            f"RETURN QUERY {FIGURES}; "
            "PERFORM set_config('baywright.firm', acted_for, true); END $$"
        )
        counted = "SELECT * FROM counted_tasks()"
    op.execute(f"CREATE VIEW task_figures AS {counted}")


ADDED_TO_ONLY = (
    "anchors",
    "assignments",
    "build_ups",
    "certificates",
    "concessions",
    "entries",
    "events",
    "imports",
    "journal",
    "lances",
    "materials",
    "practices",
    "price_lists",
    "seals",
    "supersessions",
    "supplement_cavities",
    "supplement_steps",
    "supplements",
    "withdrawals",
)
# Added to only, but for one change: what is of the client goes, and a date takes its place. These columns stay.
ERASED_ONLY = {
    "acceptances": (
        "owner_id",
        "firm_id",
        "quote_id",
        "kind",
        "by",
        "sha256",
        "document_sha256",
        "option",
        "said_at",
        "link_id",
        "key_id",
    ),
    "clients": ("quote_id", "sha256"),
    "files": ("kind", "owner_id", "sha256", "size_bytes", "created_at"),
    "photos": (
        "job_id",
        "id",
        "firm_id",
        "sha256",
        "sent_sha256",
        "cavity",
        "caption",
        "size_bytes",
        "width_px",
        "height_px",
        "taken_at",
        "place_sha256",
        "received_at",
        "key_id",
    ),
}
# What may be moved: from its row into an object that the row names, and back. Nothing else changes with it.
MOVED = {"files": (), "photos": ("latitude", "longitude")}
# Added and taken away with a draft, and with nothing else.
OF_A_DRAFT = ("quote_cavities", "quote_options", "clients")
OF_AN_OFFER = OF_A_DRAFT[:2]
FROZEN_IN_A_QUOTE = (
    "firm_id",
    "number",
    "revision",
    "revises",
    "reference",
    "body",
    "basis",
    "summary",
    "short",
    "short_singly",
    "currency",
    "total",
    "offered_at",
    "valid_until",
)
FROZEN_IN_A_JOB = ("id", "firm_id", "quote_id", "number", "created_at")


def _freeze() -> None:
    """See to it, below everything else, that what was issued stays as it was."""
    if op.get_bind().dialect.name == "postgresql":
        _freeze_postgresql()
    else:
        _freeze_sqlite()


def _freeze_sqlite() -> None:
    refuse = "BEGIN SELECT RAISE(ABORT, 'what was issued is never changed'); END"
    for table in ADDED_TO_ONLY:
        for action in ("UPDATE", "DELETE"):
            op.execute(f"CREATE TRIGGER {table}_no_{action.lower()} BEFORE {action} ON {table} {refuse}")
    for table, kept in ERASED_ONLY.items():
        allowed = _allowed(table, kept, 'NEW."{0}" IS OLD."{0}"', "length(NEW.content) = NEW.size_bytes")
        op.execute(f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} WHEN NOT ({allowed}) {refuse}")
        if table not in OF_A_DRAFT:
            op.execute(f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} {refuse}")
    changed = " OR ".join(f"NEW.{column} IS NOT OLD.{column}" for column in FROZEN_IN_A_QUOTE)
    op.execute(
        "CREATE TRIGGER quotes_frozen BEFORE UPDATE ON quotes "
        f"WHEN NEW.sealed < OLD.sealed OR (OLD.state <> 'draft' AND ({changed})) {refuse}"
    )
    changed = " OR ".join(f"NEW.{column} IS NOT OLD.{column}" for column in FROZEN_IN_A_JOB)
    op.execute(f"CREATE TRIGGER jobs_frozen BEFORE UPDATE ON jobs WHEN {changed} {refuse}")
    for table in ("quotes", "jobs"):
        op.execute(f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} {refuse}")
    for table in OF_AN_OFFER:
        op.execute(
            f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} "
            f"WHEN (SELECT state FROM quotes WHERE id = OLD.quote_id) <> 'draft' {refuse}"
        )
    for table in OF_A_DRAFT:
        for action, row in (("DELETE", "OLD"), ("INSERT", "NEW")):
            op.execute(
                f"CREATE TRIGGER {table}_no_{action.lower()} BEFORE {action} ON {table} "
                f"WHEN (SELECT state FROM quotes WHERE id = {row}.quote_id) <> 'draft' {refuse}"
            )


def _freeze_postgresql() -> None:
    op.execute(
        "CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$ "
        "BEGIN RAISE EXCEPTION 'what was issued is never changed'; END $$"
    )
    refuse = "EXECUTE FUNCTION refuse_change()"
    for table in ADDED_TO_ONLY:
        op.execute(f"CREATE TRIGGER {table}_frozen BEFORE UPDATE OR DELETE ON {table} FOR EACH ROW {refuse}")
    for table, kept in ERASED_ONLY.items():
        allowed = _allowed(
            table,
            kept,
            'NEW."{0}" IS NOT DISTINCT FROM OLD."{0}"',
            "encode(sha256(NEW.content), 'hex') = NEW.sha256",
        )
        op.execute(
            f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} FOR EACH ROW "
            f"WHEN (NOT ({allowed})) {refuse}"
        )
        if table not in OF_A_DRAFT:
            op.execute(f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} FOR EACH ROW {refuse}")
    for table in (*ADDED_TO_ONLY, *ERASED_ONLY, *OF_AN_OFFER, "quotes", "jobs"):
        op.execute(f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table} {refuse}")
    # The json type has no equality of its own: its text is compared.
    changed = " OR ".join(
        f"NEW.{column}::text IS DISTINCT FROM OLD.{column}::text" for column in FROZEN_IN_A_QUOTE
    )
    op.execute(
        "CREATE TRIGGER quotes_frozen BEFORE UPDATE ON quotes FOR EACH ROW "
        f"WHEN (NEW.sealed < OLD.sealed OR (OLD.state <> 'draft' AND ({changed}))) {refuse}"
    )
    changed = " OR ".join(f"NEW.{column} IS DISTINCT FROM OLD.{column}" for column in FROZEN_IN_A_JOB)
    op.execute(f"CREATE TRIGGER jobs_frozen BEFORE UPDATE ON jobs FOR EACH ROW WHEN ({changed}) {refuse}")
    for table in ("quotes", "jobs"):
        op.execute(f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} FOR EACH ROW {refuse}")
    op.execute(
        "CREATE FUNCTION refuse_unless_draft() RETURNS trigger LANGUAGE plpgsql AS $$ "
        "DECLARE named uuid := CASE TG_OP WHEN 'INSERT' THEN NEW.quote_id ELSE OLD.quote_id END; "
        "BEGIN IF (SELECT state FROM quotes WHERE id = named) IS DISTINCT FROM 'draft' THEN "
        "RAISE EXCEPTION 'what was issued is never changed'; END IF; "
        "RETURN CASE TG_OP WHEN 'DELETE' THEN OLD ELSE NEW END; END $$"
    )
    always = "INSERT OR UPDATE OR DELETE"
    for table, actions in (*((each, always) for each in OF_AN_OFFER), ("clients", "INSERT OR DELETE")):
        op.execute(
            f"CREATE TRIGGER {table}_frozen BEFORE {actions} ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION refuse_unless_draft()"
        )


def _allowed(table: str, kept: Iterable[str], same: str, is_content: str) -> str:
    """The changes of a row that are let through: its erasure, and where its content can lie, a move of that."""
    unchanged = [same.format(column) for column in kept]
    erased = " AND ".join(("OLD.erased_at IS NULL", "NEW.erased_at IS NOT NULL", *unchanged))
    if table not in MOVED:
        return erased
    unchanged += [same.format(column) for column in (*MOVED[table], "erased_at")]
    # What comes back is the content; nothing is compared with what is null.
    back = f"OLD.content IS NULL AND NEW.content IS NOT NULL AND {is_content}"
    moved = f"({back} OR OLD.object_key IS NULL AND NEW.object_key IS NOT NULL)"
    return f"{erased} OR {' AND '.join(('OLD.erased_at IS NULL', moved, *unchanged))}"


# Which column of a row says whose it is: the firm's id, or the id of a row that belongs to the firm.
OF_FIRM = {
    "firms": "id",
    "acceptances": "firm_id",
    "anchors": "firm_id",
    "assigned_days": "firm_id",
    "assignments": "firm_id",
    "build_ups": "firm_id",
    "crews": "firm_id",
    "deliveries": "firm_id",
    "certificates": "firm_id",
    "concessions": "firm_id",
    "entries": "firm_id",
    "events": "firm_id",
    "imports": "firm_id",
    "jobs": "firm_id",
    "journal": "firm_id",
    "keys": "firm_id",
    "lances": "firm_id",
    "links": "firm_id",
    "materials": "firm_id",
    "photos": "firm_id",
    "practices": "firm_id",
    "price_lists": "firm_id",
    "quotes": "firm_id",
    "search_terms": "firm_id",
    "series": "firm_id",
    "spent": "firm_id",
    "stock_lots": "firm_id",
    "stock_materials": "firm_id",
    "subscriptions": "firm_id",
    "tasks": "firm_id",
    "supplement_cavities": "firm_id",
    "supplement_steps": "firm_id",
    "supplements": "firm_id",
}
OF_A_ROW = {
    "answers": ("key_id", ("keys",)),
    "clients": ("quote_id", ("quotes",)),
    "files": ("owner_id", ("quotes", "jobs", "certificates", "supplement_steps")),
    "quote_cavities": ("quote_id", ("quotes",)),
    "quote_options": ("quote_id", ("quotes",)),
    "seals": ("quote_id", ("quotes",)),
    "supersessions": ("certificate_id", ("certificates",)),
    "withdrawals": ("certificate_id", ("certificates",)),
}
# What may be read by whoever can name it, before anybody knows whose it is.
BY_NAME = {"keys": ("prefix", "key"), "certificates": ("number", "number"), "links": ("id", "link")}


def _isolate_tenants() -> None:
    """Hide every row from a transaction that has not said for which firm it acts.

    The owner of the tables is held to it too, and alone may say that it acts for every firm; a
    superuser is never held.
    """
    op.execute(ACTS_FOR_EVERY)
    for table, column in OF_FIRM.items():
        _policy(table, _acts_for(column))
    for table, (column, owners) in OF_A_ROW.items():
        owned = [
            f"EXISTS (SELECT FROM {owner} WHERE {owner}.id = {table}.{column} AND {_acts_for('firm_id')})"
            for owner in owners
        ]
        _policy(table, " OR ".join(owned))
    for table, (column, name) in BY_NAME.items():
        op.execute(
            f"CREATE POLICY by_name ON {table} FOR SELECT "
            f"USING ({column}::text = current_setting('baywright.{name}', true))"
        )


# Neither is decided by a row: both are found out once a query, the second for those alone who ask for more
# than one firm's. A function, since a query in its place would be planned anew for every table of a statement.
NAMED = "current_setting('baywright.firm', true)"
FIRM = f"(SELECT CASE WHEN {NAMED} ~ '^[0-9a-f]{{8}}(-[0-9a-f]{{4}}){{3}}-[0-9a-f]{{12}}$' THEN {NAMED}::uuid END)"
ACTS_FOR_EVERY = (
    "CREATE FUNCTION acts_for_every_firm() RETURNS boolean LANGUAGE plpgsql STABLE "
    "SET search_path = pg_catalog, pg_temp AS $$ BEGIN RETURN "
    f"coalesce({NAMED}, '') = 'every' AND pg_has_role(current_user, "
    "(SELECT relowner FROM pg_class WHERE oid = 'public.firms'::regclass), 'member'); END $$"
)


def _acts_for(firm: str) -> str:
    return f"({firm} = {FIRM} OR (SELECT acts_for_every_firm()))"


def _policy(table: str, condition: str) -> None:
    op.execute(f"ALTER TABLE {table} ENABLE ROW LEVEL SECURITY, FORCE ROW LEVEL SECURITY")
    op.execute(f"CREATE POLICY of_firm ON {table} USING ({condition})")


def downgrade() -> None:
    """Records are evidence: a schema is never taken back."""
    raise NotImplementedError
