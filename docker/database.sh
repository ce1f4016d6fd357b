#!/usr/bin/env bash
# Run by the database's image, once, when its data is made. The service's role owns its database
# and is no superuser: row-level security binds it. The superuser keeps no password, so that he
# comes in from inside the container alone (docker compose exec).
set -euo pipefail
psql --username postgres --set ON_ERROR_STOP=1 --set password="$(cat /run/secrets/database_password)" <<'SQL'
CREATE ROLE baywright LOGIN PASSWORD :'password';
CREATE DATABASE baywright OWNER baywright;
ALTER ROLE postgres PASSWORD NULL;
SQL
