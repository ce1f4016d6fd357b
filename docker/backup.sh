#!/usr/bin/env bash
# Inside the backup container: a dump at once and then every day, the newest fourteen kept. See OPERATING.md.
set -euo pipefail
export PGHOST=database PGUSER=baywright_owner PGDATABASE=baywright
PGPASSWORD=$(cat /run/secrets/owner_password)
export PGPASSWORD
while :; do
    file=/backups/baywright-$(date --utc +%Y-%m-%dT%H%M%SZ).dump
    # Under its name only when it is whole: an empty file is no backup.
    if pg_dump --format=custom --file="$file.part" && [ -s "$file.part" ]; then
        mv -- "$file.part" "$file"
        touch /backups/newest
        printf '%s holds everything that was stored before.\n' "$file"
        ls -1 /backups | grep '[.]dump$' | head -n -14 | while read -r old; do rm -- "/backups/$old"; done
    else
        rm -f -- "$file.part"
        printf 'The backup failed.\n' >&2
        sleep 600
        continue
    fi
    sleep 86400 &
    wait $!
done
