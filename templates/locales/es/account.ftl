# La cuenta propia: el segundo paso, enlaces por correo, contraseña, dirección y las cartas sobre todo ello.
account-title = Su cuenta
account-name = Nombre
account-see = Ver
account-password-set = Usted tiene una.
account-password-none = No tiene. Entra con un enlace por correo.
account-second-step = Segundo paso
account-second-step-on =
    { $count ->
        [0] Una aplicación en su teléfono. No queda ningún código de repuesto. Configúrela de nuevo para tener diez.
        [one] Una aplicación en su teléfono. Queda un código de repuesto.
       *[other] Una aplicación en su teléfono. Quedan { $count } códigos de repuesto.
    }
account-second-step-off = No tiene. Con un código de su teléfono nadie más entra, aunque sepa su contraseña.
account-second-step-add = Agregar
account-sign-ins = Los navegadores que han entrado como usted.
account-note = Le escribimos cada vez que cambia su correo, su contraseña o su segundo paso.
account-by-link-title = Primero un enlace por correo
account-by-link-lead = Todavía no tiene contraseña. Abra el enlace que le enviamos. En los cinco minutos siguientes puede cambiar su cuenta.
account-by-link-note = La carta va a { $email }.
account-current = Su contraseña de ahora
account-current-hint = Así nadie más puede cambiarla cuando usted no está.
account-new-password = Contraseña nueva
account-password-title = Una contraseña nueva
account-password-button = Guardar la contraseña
account-password-note = La puede pegar. Un programa de contraseñas en su teléfono puede crear una buena y guardarla.
account-end-others = Salir en todos los demás lugares
account-address-title = Un correo nuevo
account-address-lead = Ahora es { $email }.
account-address-new = Correo electrónico nuevo
account-address-button = Enviar el enlace
account-address-note = Enviamos un enlace al correo nuevo. El viejo vale hasta que usted lo abre. Después escribimos a los dos.
account-address-sent = Mire en su correo nuevo
account-address-sent-lead = Si ese correo se puede usar, ya va una carta con un enlace. El enlace vale 30 minutos.
account-without-title = Quitar el segundo paso
account-without-lead = Entonces basta su contraseña, o un enlace por correo, para ver los datos de sus hijos.
account-without-button = Quitar el segundo paso
account-without-keep = Dejarlo

sign-in-no-password = No tengo contraseña o la olvidé
sign-ins-end-others = Salir en todos los demás lugares

code-title = Su segundo paso
code-lead = Abra la aplicación de su teléfono que muestra su código.
code-label = Código
code-hint = Seis cifras, o uno de sus códigos de repuesto.
code-again = Empezar otra vez
code-recovery = ¿No tiene el teléfono? Escriba uno de los diez códigos de repuesto. Cada uno sirve una vez.
code-lost = ¿Perdió el teléfono y los códigos? Llame a la oficina. Allí deben estar de acuerdo dos personas para darle paso.

second-step-title = Configure su segundo paso
second-step-lead = Desde hoy entra también con un código de su teléfono. Tarda dos minutos.
second-step-scan = 1. Lea esto con su aplicación de códigos
second-step-scan-more = Sirve toda aplicación que muestra códigos de seis cifras. Quizá su teléfono ya tiene una.
second-step-picture = Dibujo para su aplicación de códigos
second-step-by-hand = O escriba esta clave en la aplicación:
second-step-on-this-phone = La aplicación está en este teléfono: ábrala
second-step-codes = 2. Guarde estos códigos de repuesto
second-step-codes-more = Anótelos o imprima esta página. Con cada uno entra una vez, sin su teléfono.
second-step-try = 3. Pruebe
second-step-code = El código de la aplicación ahora
second-step-code-hint = Seis cifras. Cambian cada 30 segundos.
second-step-button = Guardar y seguir
second-step-staff = Todos los que trabajan en el programa entran con dos pasos. Usted ve datos de niños, y una contraseña no basta.
second-step-why = El código dura 30 segundos y sirve una vez. Nadie de la oficina se lo pide nunca.
second-step-print = Guarde los códigos impresos con sus otros papeles, no con su teléfono.

link-ask-title = Entrar con un enlace
link-ask-lead = Enviamos una carta con un enlace a su correo. Con el enlace entra. Después puede elegir otra contraseña.
link-ask-button = Enviar el enlace
link-ask-note = El enlace sirve una vez y vale 30 minutos. Uno nuevo termina el anterior.
link-sent-title = Mire en su correo
link-sent-lead = Si su correo tiene una cuenta, ya va una carta con un enlace.
link-sent-more = Puede tardar unos minutos. Mire también en la carpeta de correo no deseado.
link-sent-again = ¿No llegó la carta? Pida otra
link-sent-note = Puede cerrar esta página. El enlace se abre en todo navegador.
link-title = Entrar
link-lead = Toque el botón para entrar en este aparato.
link-password-button = Entrar y elegir otra contraseña
link-note = Un enlace sirve una vez. Si usted no lo pidió, cierre esta página. No ha pasado nada.
link-over-title = Este enlace ya no sirve
link-over-again = Pedir otro enlace
link-address-title = Usar este correo
link-address-lead = Toque el botón, y su cuenta usa el correo al que llegó este enlace.
link-address-button = Usar este correo
link-address-done = Su cuenta tiene el correo nuevo
link-address-done-lead = Desde ahora entre con él. Escribimos a los dos correos.
link-address-done-on = Seguir

letter-account-link = Abra este enlace antes de 30 minutos:
letter-account-office = ¿No fue usted? Llame al { $phone } o escriba a { $email }.
letter-sign-in-link-subject = Su enlace para entrar
letter-sign-in-link-first = Alguien pidió un enlace para entrar en { $program } con su correo.
letter-sign-in-link-more = Si no fue usted, no haga nada. Sin el enlace no entra nadie.
letter-address-link-subject = ¿Es este su correo nuevo?
letter-address-link-first = Una cuenta de { $program } va a usar este correo.
letter-address-link-more = Si no fue usted, no haga nada. Entonces el correo no se usa.
letter-address-new-subject = Su correo nuevo está en uso
letter-address-new-first = Su cuenta de { $program } usa ahora este correo.
letter-address-new-more = Aquí llegan las cartas, y con él entra usted.
letter-address-old-subject = Su cuenta tiene otro correo
letter-address-old-first = Su cuenta de { $program } usa ahora otro correo. Aquí ya no llegan cartas.
letter-address-old-more = Si usted no lo cambió, llame enseguida a la oficina.
letter-password-changed-subject = Su contraseña cambió
letter-password-changed-first = La contraseña de su cuenta de { $program } cambió.
letter-password-changed-more = Si usted no la cambió, pida un enlace para entrar y elija otra.
letter-second-step-on-subject = Su segundo paso está listo
letter-second-step-on-first = Su cuenta de { $program } pide ahora un código de su teléfono.
letter-second-step-on-more = Guarde sus códigos de repuesto en un lugar seguro.
letter-second-step-off-subject = Su segundo paso se quitó
letter-second-step-off-first = Su cuenta de { $program } ya no pide un código de su teléfono.
letter-second-step-off-more = Si usted no lo cambió, llame enseguida a la oficina.
