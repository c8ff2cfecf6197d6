# Forms: labels that many forms share, and what to say when an answer cannot be used.
form-errors =
    { $count ->
        [1] Revise una respuesta
        [2] Revise dos respuestas
        [3] Revise tres respuestas
       *[other] Revise { $count } respuestas
    }
form-error-mark = Error:
form-optional = (opcional)
form-back = Atrás
form-step = Paso { $step } de { $steps }: { $name }
form-steps = Pasos
form-step-done = (hecho)
form-change = Cambiar
form-month = Mes
form-day = Día
form-year = Año
form-month-choose = Elija
form-date-hint = Por ejemplo: abril 27 2016
form-choose = Elija una
form-required = Escriba aquí una respuesta
form-required-choice = Elija una de las respuestas
form-required-check = Marque la casilla para seguir
form-too-long =
    { $most ->
        [1] Escriba un carácter como máximo
       *[other] Escriba { $most } caracteres como máximo
    }
form-too-short =
    { $least ->
        [1] Escriba al menos un carácter
       *[other] Escriba al menos { $least } caracteres
    }
form-unknown-choice = Elija una respuesta de la lista
form-not-a-number = Escriba un número, por ejemplo { $example }
form-too-small = Escriba { $least } o más
form-too-big = Escriba { $most } o menos
form-not-a-date = Ese día no existe. Revise el mes, el día y el año
form-date-missing = Escriba el mes, el día y el año
form-month-missing = Elija el mes
form-day-missing = Escriba el día
form-year-missing = Escriba el año
form-year-four-digits = Escriba los cuatro números del año, por ejemplo 2016
form-date-future = Ese día aún no llega. Revise el año
form-date-past = Ese día ya pasó. Elija uno más tarde
form-date-long-ago = Ese día es de hace mucho tiempo. Revise el año
form-not-a-time = Escriba una hora, por ejemplo 8:30 AM
form-not-an-email = Escriba el correo completo, por ejemplo ana@example.org
form-not-a-phone = Escriba un teléfono con su código de área, por ejemplo 406 555 0142
form-not-a-zip = Escriba un código postal de cinco números, por ejemplo 59601
form-not-a-name = Escriba un nombre con al menos una letra
form-not-money = Escriba una cantidad, por ejemplo 42.50
form-not-a-length = Escriba una medida, por ejemplo 23 5/8 in
form-wrong-characters = Aquí hay un carácter que no podemos guardar
form-expired = Esta página esperó demasiado. Sus respuestas siguen aquí. Envíelas otra vez
# An error that several fields share, with the label of one.
form-error-of = { $words } ({ $label })
