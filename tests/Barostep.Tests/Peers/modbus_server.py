"""A Modbus server of Debian's python3-pymodbus, over TCP or over a pseudo-terminal of its own.

modbus_server.py tcp          prints "ready PORT"
modbus_server.py rtu LINK     prints "ready" when LINK leads to the terminal

Holding registers 0 to 7 spell the model, 16 and 17 hold the float 12.5, 22 a mode. It ends with its standard input.
"""

import asyncio
import os
import struct
import sys
import termios
import threading
import tty

from pymodbus.datastore import ModbusSequentialDataBlock, ModbusServerContext, ModbusSlaveContext
from pymodbus.server import StartAsyncSerialServer, StartAsyncTcpServer
from pymodbus.transaction import ModbusRtuFramer


def store():
    model = struct.unpack(">8H", b"PEER GAUGE".ljust(16, b"\0"))
    pressure = struct.unpack(">2H", struct.pack(">f", 12.5))
    registers = list(model) + [0] * 8 + list(pressure) + [0] * 14
    block = ModbusSequentialDataBlock(0, registers)
    inputs = ModbusSequentialDataBlock(0, list(registers))
    return ModbusServerContext(ModbusSlaveContext(hr=block, ir=inputs, zero_mode=True), single=True)


def raw_terminal():
    master, slave = os.openpty()
    tty.setraw(slave, termios.TCSANOW)
    return master, slave


def carry(source, target):
    while True:
        os.write(target, os.read(source, 256))


def join_terminals(link):
    host, host_name = raw_terminal()
    server, server_name = raw_terminal()
    for source, target in ((host, server), (server, host)):
        threading.Thread(target=carry, args=(source, target), daemon=True).start()
    os.symlink(os.ttyname(host_name), link)
    return os.ttyname(server_name)


def end_with_input():
    sys.stdin.read()
    os._exit(0)


async def serve():
    if sys.argv[1] == "tcp":
        server = await StartAsyncTcpServer(context=store(), address=("127.0.0.1", 0), defer_start=True)
        asyncio.get_running_loop().create_task(server.serve_forever())
        while server.server is None:
            await asyncio.sleep(0.01)
        print("ready", server.server.sockets[0].getsockname()[1], flush=True)
    else:
        port = join_terminals(sys.argv[2])
        server = await StartAsyncSerialServer(context=store(), framer=ModbusRtuFramer, port=port, baudrate=19200, defer_start=True)
        await server.start()
        print("ready", flush=True)
        await server.serve_forever()
    await asyncio.Event().wait()


threading.Thread(target=end_with_input, daemon=True).start()
asyncio.run(serve())
