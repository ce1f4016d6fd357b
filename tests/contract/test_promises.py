"""What SECURITY.md and RECORDS.md promise: each promise is named with the tests that hold it."""

import re
from collections.abc import Mapping

import pytest

from tests.sources import ROOT

CONTRACT, API, STORE, BASE = "contract/", "service/api/", "service/store/", "service/usecases/base/"
KEEPING, WORK = "service/usecases/keeping/", "service/usecases/work/"
FIRM, PDF, SERVE = "service/usecases/firm/", "service/documents/pdf/", "service/serve/"

# By how each of them begins, in its order.
PROMISES: Mapping[str, tuple[str, ...]] = {
    "Nothing of a firm is read or written without": (
        f"{CONTRACT}test_access.py::test_without_a_key_that_holds_nothing_answers",
        f"{CONTRACT}test_access.py::test_a_role_opens_its_own_routes_and_no_others",
        f"{CONTRACT}test_access.py::test_another_firms_things_are_not_there",
        f"{FIRM}test_keys.py::test_a_key_is_recognised_and_nothing_is_kept_that_would_open",
        f"{FIRM}test_keys.py::test_a_rotated_key_may_have_a_grace_which_ends",
        f"{FIRM}test_keys.py::test_a_revoked_key_ends_at_once_and_cannot_be_revoked_again",
    ),
    "On PostgreSQL row-level security": (
        f"{CONTRACT}test_tenant_isolation.py::test_without_a_firm_nothing_is_seen",
        f"{CONTRACT}test_tenant_isolation.py::test_every_table_isolates_tenants_from_its_owner_too",
        f"{CONTRACT}test_tenant_isolation.py::test_the_tests_are_held_to_it_and_a_superuser_is_told_that_he_is_not",
    ),
    "Whatever is sent is read strictly": (
        f"{CONTRACT}test_hostile.py::test_a_bad_request_is_answered_quickly_and_leaves_nothing",
        f"{API}test_unread.py::",
    ),
    "Requests are limited by key": (
        f"{API}test_limits.py::test_a_key_may_ask_so_often_and_then_has_to_wait",
        f"{API}test_limits.py::test_one_key_is_one_however_its_header_is_spaced",
        f"{API}test_limits.py::test_public_pages_are_counted_by_address_whatever_key_is_sent",
        f"{API}test_limits.py::test_addresses_at_which_there_is_nothing_are_limited_too",
        f"{API}test_limits.py::test_guessing_keys_is_slowed_down_even_for_one_that_is_right",
        f"{API}test_limits.py::test_several_servers_count_together_in_redis",
        f"{API}test_limits.py::test_without_redis_each_process_counts_for_itself_until_it_is_back",
    ),
    "Of headers that proxies set": (
        f"{API}test_limits.py::test_a_sender_cannot_choose_his_address_when_there_is_no_proxy",
        f"{SERVE}test_server.py::test_no_header_moves_an_address",
    ),
    "What is no request of HTTP": (
        f"{SERVE}test_server.py::test_what_is_no_request_is_refused_and_nothing_is_read_behind_it",
        f"{SERVE}test_server.py::test_a_body_cut_short_stores_nothing",
        f"{SERVE}test_server.py::test_nothing_of_a_request_is_logged",
    ),
    "A stop finishes": (
        f"{SERVE}test_server.py::test_a_stop_finishes_what_was_begun_takes_nothing_new_and_leaves_nothing",
    ),
    "Documents are made from texts alone": (
        f"{PDF}test_render.py::test_the_fetcher_serves_packaged_assets_only",
        f"{PDF}test_render.py::test_whatever_asks_for_anything_else_fails",
    ),
    "What is only shown and stored nowhere": (
        f"{PDF}test_apart.py::test_it_is_made_in_another_process_and_comes_whole",
        f"{PDF}test_apart.py::test_what_takes_too_long_is_ended",
        f"{PDF}test_apart.py::test_what_takes_too_much_is_ended",
        f"{PDF}test_apart.py::test_a_draft_is_made_apart_and_its_server_goes_on",
    ),
    "A photo is taken only with all": (
        f"{WORK}test_png.py::",
        f"{WORK}test_jpeg.py::test_what_is_cut_is_missed_though_an_end_is_put_behind_it",
        f"{WORK}test_jpeg.py::test_half_a_photo_is_refused_with_a_sentence",
    ),
    "Documents and photos that lie in a bucket": (
        f"{STORE}test_objects.py::test_nothing_is_given_or_taken_without_the_right_signature",
        f"{STORE}test_objects.py::test_a_secret_is_not_shown",
        f"{STORE}test_contents.py::test_with_one_it_lies_under_firm_and_owner_and_the_row_has_none",
        f"{STORE}test_contents.py::test_what_is_not_what_was_stored_is_never_given_out",
    ),
    "A signing key is of a kind": (
        f"{PDF}test_key_faults.py::test_keys_of_any_other_kind_are_refused_with_a_sentence",
        f"{PDF}test_signing.py::test_keys_of_every_usual_kind_sign",
        f"{PDF}test_signing.py::test_a_key_is_tried_out_on_a_document",
        f"{FIRM}test_signing_keys.py::test_with_an_unusable_key_nothing_is_issued",
    ),
    "On SQLite nobody but their owner": (
        f"{STORE}test_sqlite.py::test_nobody_else_may_read_the_files_of_a_database_wherever_they_lie",
        f"{STORE}test_sqlite.py::test_files_that_others_may_read_are_taken_from_them",
        f"{STORE}test_sqlite.py::test_a_database_that_others_may_read_for_good_is_not_opened",
    ),
    "No link that opens something": (
        f"{BASE}test_locked.py::test_a_link_is_not_in_the_database_and_is_answered_again_byte_for_byte",
    ),
    "Events hold ids and states": (
        f"{BASE}test_events.py::test_an_event_holds_ids_states_and_a_count_alone",
        f"{FIRM}test_deliveries.py::test_an_event_is_delivered_signed_and_nothing_of_a_client_with_it",
        f"{FIRM}test_deliveries.py::test_whoever_has_the_database_alone_can_sign_nothing",
        f"{FIRM}test_receivers.py::test_an_address_that_is_not_everybodys_is_neither_taken_nor_called",
        f"{FIRM}test_receivers.py::test_however_an_address_is_written_what_it_leads_to_counts",
        f"{FIRM}test_receivers.py::test_a_name_is_resolved_once_and_what_was_looked_at_is_connected_to",
        f"{FIRM}test_receivers.py::test_a_redirect_is_not_followed",
        f"{FIRM}test_receivers.py::test_no_more_than_4_kb_is_read",
        f"{FIRM}test_receivers.py::test_who_hangs_or_drips_is_left_after_so_long_in_all",
    ),
    "What was issued is not changed": (
        f"{CONTRACT}test_migrations.py::test_raw_sql_cannot_change_what_was_issued",
        "service/usecases/keeping/test_checks.py::test_every_column_that_was_issued_is_held",
    ),
    "Logs and traces hold of a request": (
        "service/test_tracing.py::test_a_request_is_a_span_named_by_its_route",
        "service/test_tracing.py::test_an_unexpected_error_marks_its_span_and_says_nothing_of_itself",
        f"{SERVE}test_server.py::test_nothing_of_a_request_is_logged",
        f"{API}test_requests.py::test_a_method_that_is_none_is_not_logged",
        f"{API}test_requests.py::test_what_goes_wrong_is_logged_by_kind_and_place_and_never_by_what_it_says",
        f"{API}test_problems.py::test_an_unexpected_error_says_nothing_of_itself",
    ),
    "The figures at `/metrics`": (
        f"{API}test_metrics.py::test_the_figures_are_for_whoever_runs_the_service",
        f"{API}test_metrics.py::test_strangers_do_not_grow_the_figures",
    ),
}


OF_RECORDS: Mapping[str, tuple[str, ...]] = {
    "Everything that is issued is sealed": (
        f"{KEEPING}test_checks.py::test_every_column_that_was_issued_is_held",
        f"{KEEPING}test_checks.py::test_a_row_that_is_taken_away_is_missed",
    ),
    "Whoever removes the newest of anything": (
        f"{KEEPING}test_journalled.py::"
        "test_the_newest_certificate_taken_away_with_its_seals_and_counters_set_back_is_seen",
        f"{KEEPING}test_journalled.py::test_a_job_taken_away_whole_with_its_counters_is_seen",
        f"{KEEPING}test_journalled.py::test_a_row_in_imports_put_in_by_hand_hides_nothing",
        f"{KEEPING}test_journalled.py::test_every_column_that_is_noted_is_held",
        f"{KEEPING}test_journalled.py::test_the_journal_itself_is_a_chain",
    ),
    "An anchor kept elsewhere finds": (
        f"{KEEPING}test_anchors.py::test_a_journal_that_was_cut_or_made_anew_is_found",
        f"{KEEPING}test_anchors.py::test_the_newest_certificate_that_was_taken_away_is_missed",
        f"{KEEPING}test_anchors.py::test_a_chain_that_was_made_anew_is_found",
    ),
    "An anchor of each firm is made": (
        f"{KEEPING}test_daily_anchors.py::test_it_is_made_once_a_day_and_holds",
        f"{KEEPING}test_daily_anchors.py::test_what_is_kept_is_held_against_the_chains",
        f"{KEEPING}test_daily_anchors.py::test_an_anchor_that_was_taken_away_is_missed",
        "service/serve/test_worker.py::test_the_anchors_of_the_day_are_made_by_the_worker_itself",
        f"{API}test_anchors.py::test_the_anchor_of_a_day_is_a_file",
    ),
    "A signature is over the whole file": (
        f"{CONTRACT}test_pdf_conformance.py::test_poppler_finds_the_signature_valid_and_over_the_whole_file",
        f"{CONTRACT}test_pdf_conformance.py::test_poppler_finds_signature_and_timestamp_and_nothing_after_them",
        f"{PDF}test_signatures.py::test_a_change_after_the_signature_is_found",
        f"{PDF}test_signatures.py::test_a_change_that_somebody_signs_again_is_found",
    ),
    "A timestamped signature can be checked": (
        f"{PDF}test_timestamps.py::test_all_that_a_check_needs_is_in_the_file",
        f"{PDF}test_signatures.py::test_a_timestamped_signature_outlives_its_certificates",
    ),
    "A file is signed as its record says": (
        f"{FIRM}test_signing_keys.py::test_a_file_is_signed_as_its_record_says_or_not_made",
        f"{FIRM}test_signing_keys.py::test_out_of_reach_an_authority_is_waited_for_and_the_certificate_stands",
        f"{PDF}test_timestamps.py::test_without_its_timestamp_nothing_is_signed",
    ),
    "`baywright verify` says of a file": (
        f"{PDF}test_signatures.py::test_signer_time_and_record_are_read",
        f"{KEEPING}test_verifying.py::test_a_signature_or_timestamp_that_was_taken_away_is_missed",
        f"{KEEPING}test_verifying.py::test_a_change_is_found_and_nothing_else_is_said_of_its_signature",
        "service/cli/test_trust.py::test_what_is_wrong_is_said_by_the_exit_status",
    ),
    "A record fits the schema": (
        f"{WORK}test_record_shape.py::test_every_record_fits_what_is_published",
        f"{WORK}test_record_shape.py::test_every_figure_is_told_with_its_meaning",
        f"{API}test_record_schema.py::test_it_is_served_to_anybody_as_what_it_is",
        f"{KEEPING}test_archives.py::test_everything_is_in_it_and_named_by_its_digest",
    ),
    "The record that is attached": (
        f"{CONTRACT}test_pdf_conformance.py::test_the_attached_record_is_the_frozen_one",
        f"{CONTRACT}test_pdf_conformance.py::test_the_digests_of_the_public_page_are_those_of_file_and_record",
    ),
    "A job comes back out of its archive": (f"{KEEPING}test_imports.py::test_a_job_comes_back_as_it_was",),
    "An erasure takes the client out": (
        f"{KEEPING}test_archives.py::test_an_erased_job_has_an_archive_without_its_client",
        f"{WORK}test_erasures.py::",
    ),
}
BLOCKS = {"What is promised, and tested:": PROMISES, "What is promised of records, and tested:": OF_RECORDS}
PAGES = ("docker/SECURITY.md", "docker/RECORDS.md")


def _promises(heading: str) -> list[str]:
    """The list that stands under these words."""
    pages = "\n".join((ROOT / page).read_text(encoding="utf-8") for page in PAGES)
    text = pages.partition(f"{heading}\n\n")[2]
    return [line.removeprefix("- ") for line in text.partition("\n\n")[0].splitlines()]


@pytest.mark.parametrize("heading", BLOCKS)
def test_every_promise_has_its_tests_and_every_test_its_promise(heading: str) -> None:
    promises, named = _promises(heading), list(BLOCKS[heading])
    assert len(promises) == len(named), "a promise without a test, or a test without its promise"
    for promise, begins in zip(promises, named, strict=True):
        assert promise.startswith(begins)


def test_the_tests_of_the_promises_are_there() -> None:
    for place in (place for block in BLOCKS.values() for places in block.values() for place in places):
        file, _, name = place.partition("::")
        text = (ROOT / "tests" / file).read_text(encoding="utf-8")
        assert re.search(rf"^def {name}\b" if name else "^def test_", text, re.MULTILINE), place
