
'use strict';
{
  const globals = this;
  const django = globals.django || (globals.django = {});


  django.pluralidx = function(n) {
    const v = (n > 1);
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
      "%(count)s cellule d\u00e9passe la derni\u00e8re colonne\u202f; rien n\u2019a \u00e9t\u00e9 coll\u00e9. Commencez plus \u00e0 gauche.",
      "%(count)s cellules d\u00e9passent la derni\u00e8re colonne\u202f; rien n\u2019a \u00e9t\u00e9 coll\u00e9. Commencez plus \u00e0 gauche."
    ],
    "%(count)s cell needs a correction; the rest is saved.": [
      "%(count)s cellule est \u00e0 corriger\u202f; le reste est enregistr\u00e9.",
      "%(count)s cellules sont \u00e0 corriger\u202f; le reste est enregistr\u00e9."
    ],
    "%(count)s photo waits on this device for a connection and will be sent by itself.": [
      "%(count)s photo attend une connexion sur cet appareil et partira d\u2019elle-m\u00eame.",
      "%(count)s photos attendent une connexion sur cet appareil et partiront d\u2019elles-m\u00eames."
    ],
    "%(count)s to state": "%(count)s \u00e0 indiquer",
    "%(done)s of %(all)s entered": "%(done)s sur %(all)s saisis",
    "%(field)s (process %(number)s)": "%(field)s (proc\u00e9d\u00e9 %(number)s)",
    "%(mark)s: %(step)s, not logged. %(refused)s": "%(mark)s\u202f: %(step)s, non inscrit. %(refused)s",
    "%(mark)s: %(step)s, waits on this device for a connection": "%(mark)s\u202f: %(step)s, en attente de connexion sur cet appareil",
    "%(part)s, process %(number)s": "%(part)s, proc\u00e9d\u00e9 %(number)s",
    "%(place)s of %(all)s: %(name)s": "%(place)s sur %(all)s\u202f: %(name)s",
    "%(place)s of %(all)s: %(name)s, %(lacks)s": "%(place)s sur %(all)s\u202f: %(name)s, %(lacks)s",
    "%(signed)s of %(all)s signed": "%(signed)s sur %(all)s sign\u00e9s",
    "%(signed)s of %(all)s signed. Not signed: %(refused)s": "%(signed)s sur %(all)s sign\u00e9s. Non sign\u00e9\u202f: %(refused)s",
    "%(signed)s of %(all)s signed; the server did not answer. Load the page again and go on.": "%(signed)s sur %(all)s sign\u00e9s\u202f; le serveur n\u2019a pas r\u00e9pondu. Rechargez la page et continuez.",
    "%(taps)s points set. Save, or undo the last.": "%(taps)s points plac\u00e9s. Enregistrez ou annulez le dernier.",
    "All %(signed)s signed": "Les %(signed)s sont sign\u00e9s",
    "Discard it": "Abandonner",
    "Discard the entry of %(mark)s": "Abandonner l\u2019inscription de %(mark)s",
    "Do not send it": "Ne pas envoyer",
    "Entries that had been kept on this device were put back in. Look them over.": "Des saisies gard\u00e9es sur cet appareil ont \u00e9t\u00e9 remises. Relisez-les.",
    "Fold what is complete": "Replier ce qui est complet",
    "Follow what the browser shows.": "Suivez ce que le navigateur affiche.",
    "Keeping the photo.": "La photo est mise de c\u00f4t\u00e9.",
    "New": "Nouvelle",
    "New row": "Nouvelle ligne",
    "No connection. Entries are kept on this device and are sent by themselves.": "Pas de connexion. Les inscriptions sont gard\u00e9es sur cet appareil et partiront d\u2019elles-m\u00eames.",
    "No connection. What this page says of who may weld is of the weld it was opened for; the program checks each entry when it arrives.": "Pas de connexion. Ce que cette page dit de qui peut souder vaut pour la soudure pour laquelle elle a \u00e9t\u00e9 ouverte\u202f; le programme v\u00e9rifie chaque inscription \u00e0 son arriv\u00e9e.",
    "No connection. What you type is kept on this device; save it when the program answers again.": "Pas de connexion. Vos saisies sont gard\u00e9es sur cet appareil\u202f; enregistrez-les quand le programme r\u00e9pondra de nouveau.",
    "No connection. Your entries are kept on this device and are sent again by themselves.": "Pas de connexion. Vos saisies sont gard\u00e9es sur cet appareil et repartiront d\u2019elles-m\u00eames.",
    "No field of that name.": "Aucun champ de ce nom.",
    "Not saved. Check the connection, then try again.": "Non enregistr\u00e9. V\u00e9rifiez la connexion, puis r\u00e9essayez.",
    "Not saved: no answer from the server. Type it again.": "Non enregistr\u00e9\u202f: pas de r\u00e9ponse du serveur. Saisissez-le de nouveau.",
    "Not saved: the server answered with error %(status)s. Your entries are kept on this device. Sign in again or load the page again.": "Non enregistr\u00e9\u202f: le serveur a r\u00e9pondu par l\u2019erreur %(status)s. Vos saisies sont gard\u00e9es sur cet appareil. Connectez-vous de nouveau ou rechargez la page.",
    "Open": "Ouvrir",
    "Open %(mark)s": "Ouvrir %(mark)s",
    "Open all parts": "Ouvrir toutes les parties",
    "Process %(number)s": "Proc\u00e9d\u00e9 %(number)s",
    "Put it back": "Remettre dans le formulaire",
    "Resume, adds to the time": "Reprendre, s\u2019ajoute au temps",
    "Saved.": "Enregistr\u00e9.",
    "Saving \u2026": "Enregistrement \u2026",
    "Send it now": "Envoyer maintenant",
    "Sign in again: entries wait on this device.": "Connectez-vous de nouveau\u202f: des inscriptions attendent sur cet appareil.",
    "Start": "D\u00e9marrer",
    "Stop \u00b7 %(seconds)s s": "Arr\u00eater \u00b7 %(seconds)s s",
    "Tap the photo: %(taps)s of %(least)s or more points set. On a keyboard: arrows move the cross, Enter sets a point.": "Touchez la photo\u202f: %(taps)s points plac\u00e9s sur %(least)s ou plus. Au clavier\u202f: les fl\u00e8ches d\u00e9placent la croix, Entr\u00e9e place un point.",
    "Tap the photo: %(taps)s of %(least)s points set. On a keyboard: arrows move the cross, Enter sets a point.": "Touchez la photo\u202f: %(taps)s points plac\u00e9s sur %(least)s. Au clavier\u202f: les fl\u00e8ches d\u00e9placent la croix, Entr\u00e9e place un point.",
    "The check could not be run; what it last said may no longer hold. Save, or load the page again.": "Le contr\u00f4le n\u2019a pas pu \u00eatre fait\u202f; ce qu\u2019il a dit en dernier peut ne plus \u00eatre vrai. Enregistrez ou rechargez la page.",
    "The device did not answer. Try again, or use a code.": "L\u2019appareil n\u2019a pas r\u00e9pondu. R\u00e9essayez ou utilisez un code.",
    "The photo is saved.": "La photo est enregistr\u00e9e.",
    "The photo was not saved. %(why)s": "La photo n\u2019a pas \u00e9t\u00e9 enregistr\u00e9e. %(why)s",
    "The program does not answer. Try again in a moment.": "Le programme ne r\u00e9pond pas. R\u00e9essayez dans un instant.",
    "The program does not answer. What you typed is kept here and is sent as soon as it answers.": "Le programme ne r\u00e9pond pas. Vos saisies sont gard\u00e9es ici et seront envoy\u00e9es d\u00e8s qu\u2019il r\u00e9pondra.",
    "The weld is no longer on the job.": "La soudure ne fait plus partie de l\u2019affaire.",
    "This browser has no passkeys here. Use the code of an app instead.": "Ce navigateur n\u2019offre pas de cl\u00e9s d\u2019acc\u00e8s ici. Utilisez plut\u00f4t le code d\u2019une application.",
    "This device keeps nothing for us: stay on this page until it says that it is saved.": "Cet appareil ne garde rien\u202f: restez sur cette page jusqu\u2019\u00e0 ce qu\u2019elle dise que c\u2019est enregistr\u00e9.",
    "What was kept on this device is logged.": "Ce qui \u00e9tait gard\u00e9 sur cet appareil est inscrit.",
    "What was typed here on %(when)s was not saved.": "Ce qui a \u00e9t\u00e9 saisi ici le %(when)s n\u2019a pas \u00e9t\u00e9 enregistr\u00e9.",
    "nothing stated": "rien d\u2019indiqu\u00e9"
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
    "DATETIME_FORMAT": "j F Y H:i",
    "DATETIME_INPUT_FORMATS": [
      "%d/%m/%Y %H:%M:%S",
      "%d/%m/%Y %H:%M:%S.%f",
      "%d/%m/%Y %H:%M",
      "%Y-%m-%d %H:%M:%S",
      "%Y-%m-%d %H:%M:%S.%f",
      "%Y-%m-%d %H:%M",
      "%Y-%m-%d"
    ],
    "DATE_FORMAT": "j F Y",
    "DATE_INPUT_FORMATS": [
      "%d/%m/%Y",
      "%d/%m/%y",
      "%Y-%m-%d"
    ],
    "DECIMAL_SEPARATOR": ".",
    "FIRST_DAY_OF_WEEK": 1,
    "MONTH_DAY_FORMAT": "j F",
    "NUMBER_GROUPING": 3,
    "SHORT_DATETIME_FORMAT": "d/m/Y H:i",
    "SHORT_DATE_FORMAT": "d/m/Y",
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

