#!/usr/bin/env bash
# Run by the database's image, once, when its data is made. One role owns the tables: it migrates,
# checks and works. The other one serves: `baywright migrate` lets it read and write rows, and it can
# neither alter a table nor see more than one firm at a time. Neither is a superuser, and row-level
# security binds both. The superuser keeps no password, so that he comes in from inside the container
# alone (docker compose exec).
set -euo pipefail
psql --username postgres --set ON_ERROR_STOP=1 \
    --set password="$(cat /run/secrets/database_password)" \
    --set owner_password="$(cat /run/secrets/owner_password)" <<'SQL'
CREATE ROLE baywright_owner LOGIN PASSWORD :'owner_password';
CREATE ROLE baywright LOGIN PASSWORD :'password';
CREATE DATABASE baywright OWNER baywright_owner TEMPLATE template0 ENCODING 'UTF8';
REVOKE CONNECT, TEMPORARY ON DATABASE baywright FROM PUBLIC;
GRANT CONNECT ON DATABASE baywright TO baywright;
ALTER ROLE postgres PASSWORD NULL;
SQL
