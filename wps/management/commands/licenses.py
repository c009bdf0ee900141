"""`manage.py licenses`: the license of every package the program is installed with."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from wps.package_licenses import installed_licenses, locked


class Command(BaseCommand):
    help = "Lists the packages of requirements.lock with version and license; status 1 where one has none."

    def handle(self, *args: Any, **options: Any) -> None:
        found = installed_licenses(locked())
        for name, (version, license_) in sorted(found.items()):
            self.stdout.write(f"{name} {version}: {license_ or 'UNKNOWN'}")
        if unknown := sorted(name for name, (_, license_) in found.items() if not license_):
            raise CommandError(
                f"No license is known of {', '.join(unknown)}. Read the package's own, then name it in"
                " wps/package_licenses.py."
            )
