
'use strict';
{
  const globals = this;
  const django = globals.django || (globals.django = {});


  django.pluralidx = function(n) {
    const v = (n != 1);
    if (typeof v === 'boolean') {
      return v ? 1 : 0;
    } else {
      return v;
    }
  };


  /* gettext library */

  django.catalog = django.catalog || {};

  const newcatalog = {
    "%(count)s cell lies beyond the last column; nothing was pasted. Start further left.": [
      "%(count)s Zelle liegt hinter der letzten Spalte; nichts wurde eingef\u00fcgt. Beginnen Sie weiter links.",
      "%(count)s Zellen liegen hinter der letzten Spalte; nichts wurde eingef\u00fcgt. Beginnen Sie weiter links."
    ],
    "%(count)s cell needs a correction; the rest is saved.": [
      "%(count)s Zelle ist zu berichtigen; alles andere ist gespeichert.",
      "%(count)s Zellen sind zu berichtigen; alles andere ist gespeichert."
    ],
    "%(count)s photo waits on this device for a connection and will be sent by itself.": [
      "%(count)s Foto wartet auf diesem Ger\u00e4t auf eine Verbindung und wird von selbst gesendet.",
      "%(count)s Fotos warten auf diesem Ger\u00e4t auf eine Verbindung und werden von selbst gesendet."
    ],
    "%(count)s to state": "%(count)s anzugeben",
    "%(done)s of %(all)s entered": "%(done)s von %(all)s eingetragen",
    "%(field)s (process %(number)s)": "%(field)s (Prozess %(number)s)",
    "%(mark)s: %(step)s, not logged. %(refused)s": "%(mark)s: %(step)s, nicht eingetragen. %(refused)s",
    "%(mark)s: %(step)s, waits on this device for a connection": "%(mark)s: %(step)s, wartet auf diesem Ger\u00e4t auf eine Verbindung",
    "%(part)s, process %(number)s": "%(part)s, Prozess %(number)s",
    "%(place)s of %(all)s: %(name)s": "%(place)s von %(all)s: %(name)s",
    "%(place)s of %(all)s: %(name)s, %(lacks)s": "%(place)s von %(all)s: %(name)s, %(lacks)s",
    "%(signed)s of %(all)s signed": "%(signed)s von %(all)s signiert",
    "%(signed)s of %(all)s signed. Not signed: %(refused)s": "%(signed)s von %(all)s signiert. Nicht signiert: %(refused)s",
    "%(signed)s of %(all)s signed; the server did not answer. Load the page again and go on.": "%(signed)s von %(all)s signiert; der Server hat nicht geantwortet. Laden Sie die Seite neu, und machen Sie weiter.",
    "%(taps)s points set. Save, or undo the last.": "%(taps)s Punkte gesetzt. Speichern Sie, oder nehmen Sie den letzten zur\u00fcck.",
    "All %(signed)s signed": "Alle %(signed)s signiert",
    "Discard it": "Verwerfen",
    "Discard the entry of %(mark)s": "Eintrag von %(mark)s verwerfen",
    "Do not send it": "Nicht senden",
    "Entries that had been kept on this device were put back in. Look them over.": "Eingaben, die dieses Ger\u00e4t aufbewahrt hatte, sind wieder eingetragen. Sehen Sie sie durch.",
    "Fold what is complete": "Vollst\u00e4ndiges zuklappen",
    "Follow what the browser shows.": "Folgen Sie den Anweisungen des Browsers.",
    "Keeping the photo.": "Foto wird aufbewahrt.",
    "New": "Neu",
    "New row": "Neue Zeile",
    "No connection. Entries are kept on this device and are sent by themselves.": "Keine Verbindung. Eintr\u00e4ge bleiben auf diesem Ger\u00e4t und werden von selbst gesendet.",
    "No connection. What this page says of who may weld is of the weld it was opened for; the program checks each entry when it arrives.": "Keine Verbindung. Wer schwei\u00dfen darf, sagt diese Seite nur f\u00fcr die Naht, f\u00fcr die sie ge\u00f6ffnet wurde; das Programm pr\u00fcft jeden Eintrag, wenn er ankommt.",
    "No connection. What you type is kept on this device; save it when the program answers again.": "Keine Verbindung. Ihre Eingaben bleiben auf diesem Ger\u00e4t; speichern Sie, wenn das Programm wieder antwortet.",
    "No connection. Your entries are kept on this device and are sent again by themselves.": "Keine Verbindung. Ihre Eingaben bleiben auf diesem Ger\u00e4t und werden von selbst wieder gesendet.",
    "No field of that name.": "Kein Feld dieses Namens.",
    "Not saved. Check the connection, then try again.": "Nicht gespeichert. Pr\u00fcfen Sie die Verbindung, und versuchen Sie es noch einmal.",
    "Not saved: no answer from the server. Type it again.": "Nicht gespeichert: keine Antwort vom Server. Geben Sie es noch einmal ein.",
    "Not saved: the server answered with error %(status)s. Your entries are kept on this device. Sign in again or load the page again.": "Nicht gespeichert: Der Server antwortete mit Fehler %(status)s. Ihre Eingaben bleiben auf diesem Ger\u00e4t. Melden Sie sich wieder an, oder laden Sie die Seite neu.",
    "Open": "\u00d6ffnen",
    "Open %(mark)s": "%(mark)s \u00f6ffnen",
    "Open all parts": "Alle Abschnitte \u00f6ffnen",
    "Process %(number)s": "Prozess %(number)s",
    "Put it back": "Wieder eintragen",
    "Resume, adds to the time": "Weiter, z\u00e4hlt zur Zeit dazu",
    "Saved.": "Gespeichert.",
    "Saving \u2026": "Wird gespeichert \u2026",
    "Send it now": "Jetzt senden",
    "Sign in again: entries wait on this device.": "Melden Sie sich wieder an: Auf diesem Ger\u00e4t warten Eintr\u00e4ge.",
    "Start": "Start",
    "Stop \u00b7 %(seconds)s s": "Stopp \u00b7 %(seconds)s s",
    "Tap the photo: %(taps)s of %(least)s or more points set. On a keyboard: arrows move the cross, Enter sets a point.": "Tippen Sie auf das Foto: %(taps)s von mindestens %(least)s Punkten gesetzt. Auf der Tastatur: Pfeile bewegen das Kreuz, die Eingabetaste setzt einen Punkt.",
    "Tap the photo: %(taps)s of %(least)s points set. On a keyboard: arrows move the cross, Enter sets a point.": "Tippen Sie auf das Foto: %(taps)s von %(least)s Punkten gesetzt. Auf der Tastatur: Pfeile bewegen das Kreuz, die Eingabetaste setzt einen Punkt.",
    "The check could not be run; what it last said may no longer hold. Save, or load the page again.": "Die Kontrolle konnte nicht laufen; was sie zuletzt sagte, gilt vielleicht nicht mehr. Speichern Sie, oder laden Sie die Seite neu.",
    "The device did not answer. Try again, or use a code.": "Das Ger\u00e4t hat nicht geantwortet. Versuchen Sie es noch einmal, oder verwenden Sie einen Code.",
    "The photo is saved.": "Das Foto ist gespeichert.",
    "The photo was not saved. %(why)s": "Das Foto wurde nicht gespeichert. %(why)s",
    "The program does not answer. Try again in a moment.": "Das Programm antwortet nicht. Versuchen Sie es gleich noch einmal.",
    "The program does not answer. What you typed is kept here and is sent as soon as it answers.": "Das Programm antwortet nicht. Ihre Eingaben bleiben auf diesem Ger\u00e4t und werden gesendet, sobald es antwortet.",
    "The weld is no longer on the job.": "Die Naht geh\u00f6rt nicht mehr zum Auftrag.",
    "This browser has no passkeys here. Use the code of an app instead.": "Dieser Browser bietet hier keine Passkeys. Verwenden Sie stattdessen den Code einer App.",
    "This device keeps nothing for us: stay on this page until it says that it is saved.": "Dieses Ger\u00e4t bewahrt nichts auf: Bleiben Sie auf dieser Seite, bis sie meldet, dass gespeichert ist.",
    "What was kept on this device is logged.": "Was auf diesem Ger\u00e4t wartete, ist eingetragen.",
    "What was typed here on %(when)s was not saved.": "Was hier am %(when)s eingegeben wurde, ist nicht gespeichert.",
    "nothing stated": "nichts angegeben"
  };
  for (const key in newcatalog) {
    django.catalog[key] = newcatalog[key];
  }


  if (!django.jsi18n_initialized) {
    django.gettext = function(msgid) {
      const value = django.catalog[msgid];
      if (typeof value === 'undefined') {
        return msgid;
      } else {
        return (typeof value === 'string') ? value : value[0];
      }
    };

    django.ngettext = function(singular, plural, count) {
      const value = django.catalog[singular];
      if (typeof value === 'undefined') {
        return (count == 1) ? singular : plural;
      } else {
        return value.constructor === Array ? value[django.pluralidx(count)] : value;
      }
    };

    django.gettext_noop = function(msgid) { return msgid; };

    django.pgettext = function(context, msgid) {
      let value = django.gettext(context + '\x04' + msgid);
      if (value.includes('\x04')) {
        value = msgid;
      }
      return value;
    };

    django.npgettext = function(context, singular, plural, count) {
      let value = django.ngettext(context + '\x04' + singular, context + '\x04' + plural, count);
      if (value.includes('\x04')) {
        value = django.ngettext(singular, plural, count);
      }
      return value;
    };

    django.interpolate = function(fmt, obj, named) {
      if (named) {
        return fmt.replace(/%\(\w+\)s/g, function(match){return String(obj[match.slice(2,-2)])});
      } else {
        return fmt.replace(/%s/g, function(match){return String(obj.shift())});
      }
    };


    /* formatting library */

    django.formats = {
    "DATETIME_FORMAT": "j. F Y H:i",
    "DATETIME_INPUT_FORMATS": [
      "%d.%m.%Y %H:%M:%S",
      "%d.%m.%Y %H:%M:%S.%f",
      "%d.%m.%Y %H:%M",
      "%Y-%m-%d %H:%M:%S",
      "%Y-%m-%d %H:%M:%S.%f",
      "%Y-%m-%d %H:%M",
      "%Y-%m-%d"
    ],
    "DATE_FORMAT": "j. F Y",
    "DATE_INPUT_FORMATS": [
      "%d.%m.%Y",
      "%d.%m.%y",
      "%Y-%m-%d"
    ],
    "DECIMAL_SEPARATOR": ".",
    "FIRST_DAY_OF_WEEK": 1,
    "MONTH_DAY_FORMAT": "j. F",
    "NUMBER_GROUPING": 3,
    "SHORT_DATETIME_FORMAT": "d.m.Y H:i",
    "SHORT_DATE_FORMAT": "d.m.Y",
    "THOUSAND_SEPARATOR": "",
    "TIME_FORMAT": "H:i",
    "TIME_INPUT_FORMATS": [
      "%H:%M:%S",
      "%H:%M:%S.%f",
      "%H:%M"
    ],
    "YEAR_MONTH_FORMAT": "F Y"
  };

    django.get_format = function(format_type) {
      const value = django.formats[format_type];
      if (typeof value === 'undefined') {
        return format_type;
      } else {
        return value;
      }
    };

    /* add to global namespace */
    globals.pluralidx = django.pluralidx;
    globals.gettext = django.gettext;
    globals.ngettext = django.ngettext;
    globals.gettext_noop = django.gettext_noop;
    globals.pgettext = django.pgettext;
    globals.npgettext = django.npgettext;
    globals.interpolate = django.interpolate;
    globals.get_format = django.get_format;

    django.jsi18n_initialized = true;
  }
};

